"""How a message goes: the head of an e-mail, what a mail server's answers mean, and text messages as files."""

import contextlib
import email
import email.policy
import socketserver
import threading
from pathlib import Path

import pytest
from django.core import mail

from clients.models import Client
from fittings.messages.channels import EmailChannel, Message, NotSentError, PerhapsSentError, TextMessageToFile

LINK = "https://salon.example/stop-messages/C-1:abc/"
CALENDAR = b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n"


def message(**other):
    return Message(
        **{
            "key": "6f1f4f0c3a52",
            "client": Client(email="ada@ashdown.example", phone="07700 900001"),
            "subject": "Your appointment on Tuesday 3 March at 10:30",
            "body": "Dear Ada,\n",
            "short": "The Quiet Room: your appointment is on Tue 3 Mar, 10:30.",
            "salon_name": "The Quiet Room",
            "answer_to": "hello@quiet-room.example",
            "stop_address": LINK,
            **other,
        }
    )


def test_an_e_mail_can_be_stopped_by_one_click_and_answers_go_to_the_salon(settings):
    settings.DEFAULT_FROM_EMAIL = "desk@quiet-room.example"
    EmailChannel().send(message(invitations=(CALENDAR,)))
    (sent,) = mail.outbox
    read = email.message_from_bytes(sent.message().as_bytes(), policy=email.policy.default)
    assert read["To"] == "ada@ashdown.example"
    assert read["From"] == "The Quiet Room <desk@quiet-room.example>"
    assert read["Reply-To"] == "hello@quiet-room.example"
    assert read["Message-ID"] == "<6f1f4f0c3a52@quiet-room.example>"
    assert read["Auto-Submitted"] == "auto-generated"
    # RFC 8058, 3.1 (MEMORY): one https address, and just this word
    assert read["List-Unsubscribe"] == f"<{LINK}>"
    assert read["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    words, calendar = read.iter_parts()
    assert words.get_content_type() == "text/plain"
    assert (calendar.get_content_type(), calendar.get_filename()) == ("text/calendar", "appointment.ics")


def test_without_an_address_of_the_salon_there_is_no_button(settings):
    EmailChannel().send(message(stop_address="", answer_to=""))
    headers = mail.outbox[0].message()
    assert headers["List-Unsubscribe"] is headers["List-Unsubscribe-Post"] is headers["Reply-To"] is None


def test_a_line_break_in_a_name_sends_nothing():
    with pytest.raises(NotSentError):
        EmailChannel().send(message(subject="Yours\nBcc: all@ashdown.example"))
    assert mail.outbox == []


def test_who_is_reached_by_what():
    nobody, by_mail, by_phone = (
        Client(email=email, phone=phone)
        for email, phone in (("", ""), ("ada@ashdown.example", ""), ("", "07700 900001"))
    )
    assert [EmailChannel().reaches(her) for her in (nobody, by_mail, by_phone)] == [False, True, False]
    assert [TextMessageToFile().reaches(her) for her in (nobody, by_mail, by_phone)] == [False, False, True]


# A mail server that answers as it is told


class MailServer(socketserver.ThreadingTCPServer):
    allow_reuse_address = daemon_threads = True
    answers: dict
    taken: list


class Conversation(socketserver.StreamRequestHandler):
    def handle(self):
        self.say("220 here")
        for line in iter(self.rfile.readline, b""):
            word = line.split(b":")[0].split()[0].decode().upper()
            answer = self.server.answers.get(word, {"DATA": "354 go on", "QUIT": "221 bye"}.get(word, "250 fine"))
            if answer is None:
                return
            self.say(answer)
            if answer.startswith("354"):
                self.server.taken.append(b"".join(iter(self.rfile.readline, b".\r\n")))
                answer = self.server.answers.get(".", "250 taken")
                if answer is None:
                    return
                self.say(answer)
            if word == "QUIT":
                return

    def say(self, answer):
        self.wfile.write(f"{answer}\r\n".encode())


@pytest.fixture
def mail_server(settings):
    @contextlib.contextmanager
    def answering(**answers):
        with MailServer(("127.0.0.1", 0), Conversation) as server:
            server.answers, server.taken = {"." if name == "END" else name: say for name, say in answers.items()}, []
            threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True).start()
            settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
            settings.EMAIL_HOST, settings.EMAIL_PORT = server.server_address
            settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
            settings.EMAIL_TIMEOUT = 5
            yield server
            server.shutdown()

    return answering


def test_a_mail_server_takes_it_once(mail_server):
    with mail_server() as server:
        EmailChannel().send(message())
    assert len(server.taken) == 1
    assert b"Dear Ada," in server.taken[0]


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({"RCPT": "550 no such mailbox: ada@ashdown.example"}, "The mail server refused it (550)."),
        ({"MAIL": "451 come back later"}, "The mail server refused it (451)."),
        ({"END": "554 not wanted, ada@ashdown.example"}, "The mail server refused it (554)."),
    ],
)
def test_a_refusal_means_not_sent_and_repeats_no_address(mail_server, answers, says):
    with mail_server(**answers), pytest.raises(NotSentError) as refusal:
        EmailChannel().send(message())
    assert str(refusal.value) == says


@pytest.mark.parametrize("answers", [{"END": None}, {"DATA": None}])
def test_a_server_that_breaks_off_leaves_it_open_whether_it_was_sent(mail_server, answers):
    with mail_server(**answers), pytest.raises(PerhapsSentError):
        EmailChannel().send(message())


def test_a_server_that_breaks_off_after_it_took_the_message_has_taken_it(mail_server):
    with mail_server(QUIT=None) as server:
        EmailChannel().send(message())
    assert len(server.taken) == 1


def test_no_server_there_means_not_sent(mail_server):
    with mail_server():
        pass  # it has had its port and is gone
    with pytest.raises(NotSentError) as refusal:
        EmailChannel().send(message())
    assert str(refusal.value) == "The mail server can't be reached."


# Text messages as files


@pytest.fixture
def folder(settings, tmp_path):
    settings.TEXT_MESSAGE_FOLDER = tmp_path / "text-messages"
    return settings.TEXT_MESSAGE_FOLDER


def test_a_text_message_is_a_file_that_others_can_not_read(folder):
    channel = TextMessageToFile()
    assert channel.was_sent("6f1f4f0c3a52") is False
    channel.send(message())
    (written,) = folder.iterdir()
    assert written.read_text() == "To: 07700 900001\n\nThe Quiet Room: your appointment is on Tue 3 Mar, 10:30.\n"
    assert (written.stat().st_mode & 0o777, folder.stat().st_mode & 0o777) == (0o600, 0o700)
    assert channel.was_sent("6f1f4f0c3a52") is True


def test_one_that_is_there_already_is_left_as_it_is(folder):
    TextMessageToFile().send(message())
    TextMessageToFile().send(message(short="Somebody slower"))
    (written,) = folder.iterdir()
    assert "Somebody slower" not in written.read_text()


def test_a_folder_that_can_not_be_written_means_not_sent(settings, tmp_path):
    Path(tmp_path / "taken").touch()
    settings.TEXT_MESSAGE_FOLDER = tmp_path / "taken"
    with pytest.raises(NotSentError):
        TextMessageToFile().send(message())
