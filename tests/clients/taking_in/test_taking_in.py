"""Clients from a file: what is read, what is refused and where, who is known already, and all of it or nothing."""

from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from clients.models import Client, Consent
from clients.taking_in.people import MOST_PEOPLE
from clients.taking_in.taking import read_people, take_in
from tests.clients.taking_in.files import CSV, VCARD_3, VCARD_4, spoilt
from tests.factories import ClientFactory, OwnerFactory

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)


@pytest.fixture
def owner():
    return OwnerFactory()


def taken(text, owner, *, dry_run=False):
    return take_in(content=text.encode(), dry_run=dry_run, by=owner, today=TODAY)


def read(text):
    return read_people(text.encode(), today=TODAY)


def facts(client):
    return client.given_name, client.family_name, client.phone, client.email, client.born_on


def test_a_table_is_read_by_the_names_of_its_columns(owner):
    report = taken(CSV, owner)
    assert (report.new, report.known, report.to_mend, report.stored) == (3, 0, 0, True)
    assert [facts(client) for client in Client.objects.order_by("pk")] == [
        ("Ada", "Ashdown", "07700 900123", "ada@ashdown.example", date(1968, 4, 9)),
        ("Rosalind", "Thackeray; Quill", "", "", date(1971, 4, 9)),
        ("Zofia", "Żółkowska", "+44 7700 900456", "zofia@zolkowska.example", None),
    ]
    assert "Not taken in: Shoe size." in report.remarks


def test_who_is_taken_in_is_found_at_once_and_has_agreed_to_nothing(owner):
    taken(CSV, owner)
    assert [client.given_name for client in Client.objects.found_by("zolk")[:5]] == ["Zofia"]
    assert [client.given_name for client in Client.objects.found_by("0123")[:5]] == ["Ada"]
    assert not Consent.objects.exists()
    history = Client.history.get(given_name="Ada")
    assert (history.history_user, history.history_type) == (owner, "+")


def test_a_card_of_version_3_is_read(owner):
    taken(VCARD_3, owner)
    ada = Client.objects.get()
    assert facts(ada) == ("Ada", "Ashdown", "07700 900123", "ada@ashdown.example", date(1968, 4, 9))
    assert (ada.preferred_name, ada.private_note) == ("Addy", "")


def test_cards_of_version_4_are_read(owner):
    report = taken(VCARD_4, owner)
    assert [facts(client) for client in Client.objects.order_by("pk")] == [
        ("Zofia", "Żółkowska", "+44-7700-900456", "zofia@zolkowska.example", None),
        ("Rosalind Thackeray", "Quill", "", "", date(1971, 4, 9)),
    ]
    assert "year of birth is not told" in report.lines[0].says


def test_the_example_of_rfc_6350_is_read():
    # RFC 6350, section 8, "Authors' Addresses"' vCard example, shortened to what is taken in (MEMORY)
    card = (
        "BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Simon Perreault\r\nN:Perreault;Simon;;;ing. jr,M.Sc.\r\nBDAY:--0203\r\n"
        'GENDER:M\r\nLANG;PREF=1:fr\r\nTEL;VALUE=uri;TYPE="work,voice";PREF=1:tel:+1-418-656-9254;ext=102\r\n'
        'TEL;VALUE=uri;TYPE="work,cell,voice,video,text":tel:+1-418-262-6501\r\n'
        "EMAIL;TYPE=work:simon.perreault@viagenie.ca\r\nEND:VCARD\r\n"
    )
    (person,) = read(card).people
    assert (person.fields["given_name"], person.fields["family_name"]) == ("Simon", "Perreault")
    assert person.fields["email"] == "simon.perreault@viagenie.ca"
    assert person.fields["phone"].startswith("+1-418-656-9254")


def test_a_folded_line_is_one_line():
    # RFC 6350, 3.2: a line break and a space in the middle of anything (MEMORY)
    (person,) = read(VCARD_3.replace("ada@ashdown", "ada@\n ashdown")).people
    assert person.fields["email"] == "ada@ashdown.example"


def test_a_dry_run_says_everything_and_stores_nothing(owner):
    report = taken(CSV, owner, dry_run=True)
    assert (report.new, report.stored) == (3, False)
    assert not Client.objects.exists()


def test_one_bad_line_keeps_everybody_out(owner):
    report = taken(CSV.replace("ada@ashdown.example", "ada at ashdown"), owner)
    assert (report.to_mend, report.stored) == (1, False)
    assert not Client.objects.exists()
    (bad,) = [line for line in report.lines if line.what == "mend"]
    assert (bad.line, bad.written.startswith("Ashdown, Ada")) == (2, True)
    assert bad.says == "Email: Enter a valid email address."


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("", 0, "The file is empty"),
        ("Name;Town\nAda;Tarrowmere\n", 1, "lacks: given name and family name"),
        ("Given name;Family name;First name\nAda;Ashdown;Ada\n", 1, "Two columns tell the same: given name"),
        ("Given name;Family name\n", 0, "nobody under it"),
        ("Given name;Family name\nAda;\n", 2, "A client needs a given name and a family name"),
        ("Given name;Family name\nAda;Ashdown;07700\n", 2, "This line has 3 cells, the first line names 2"),
        ("Given name;Family name;Born\nAda;Ashdown;04/09/1968\n", 2, "Write it as 1968-04-09"),
        ("Given name;Family name;Born\nAda;Ashdown;1968-02-30\n", 2, "Write it as 1968-04-09"),
        ("Given name;Family name;Born\nAda;Ashdown;2068-02-03\n", 2, "can't lie in the future"),
        ("Given name;Family name;Born\nAda;Ashdown;1868-02-03\n", 2, "lies in 1900 or later"),
        ('Given name;Family name\nAda;"Ashdown\n', 2, "A quotation mark is out of place"),
        (f"Given name;Family name\n{'A' * 90};Ashdown\n", 2, "at most 80 characters"),
        ("BEGIN:VCARD\nVERSION:3.0\nN:Ashdown;Ada\n", 1, "has no end"),
        ("BEGIN:VCARD\nVERSION:2.1\nN:Ashdown;Ada\nEND:VCARD\n", 1, "It says it is version 2.1"),
        ("BEGIN:VCARD\nN:Ashdown;Ada\nEND:VCARD\n", 1, "does not say its version"),
        ("BEGIN:VCARD\nVERSION:3.0\nFN:Ada\nEND:VCARD\n", 1, "needs a given name and a family name"),
        ("BEGIN:VCARD\nVERSION:3.0\nBEGIN:VCARD\nEND:VCARD\n", 3, "does not end before the next one"),
        ("BEGIN:VCARD\nVERSION:3.0\nN:A;B\nEND:VCARD\nhello\n", 5, "outside any card"),
        ("BEGIN:VCARD\nVERSION:3.0\nnothing here\nEND:VCARD\n", 1, "This card can't be read"),
    ],
)
def test_what_can_not_be_read_is_said_with_its_line(owner, text, line, says):
    report = taken(text, owner)
    (bad,) = [said for said in report.lines if said.what == "mend"]
    assert bad.line == line
    assert says in bad.says
    assert not Client.objects.exists()


def test_a_file_of_too_many_is_refused(owner):
    report = taken("Given name;Family name\n" + "Ada;Ashdown\n" * (MOST_PEOPLE + 1), owner)
    assert "more than 5,000 lines" in report.lines[-1].says or "more than 5,000 lines" in report.lines[0].says
    assert not Client.objects.exists()


def test_a_million_columns_are_refused_in_a_sentence(owner):
    columns = ";".join(["Given name", "Family name", *["x"] * 1_000_000])
    assert "names 1,000,002 columns" in taken(columns, owner).lines[0].says
    assert "far too long" in taken("x" * 1_000_000, owner).lines[0].says


def test_who_is_here_already_stays_as_she_is(owner):
    ada = ClientFactory(given_name="Ada", family_name="ASHDOWN", phone="+44 7700 900123")
    report = taken(CSV, owner)
    assert (report.new, report.known) == (2, 1)
    assert f"Here already: {ada.reference}" in next(line.says for line in report.lines if line.what == "known")
    ada.refresh_from_db()
    assert (ada.family_name, ada.email) == ("ASHDOWN", "")


def test_a_namesake_with_another_number_is_somebody_else_and_is_named(owner):
    other = ClientFactory(given_name="Ada", family_name="Ashdown", phone="07700 900999")
    report = taken(CSV, owner)
    assert report.new == 3
    assert f"There is another Ada Ashdown here: {other.reference}." in [line.says for line in report.lines]


def test_the_same_file_again_changes_nothing(owner):
    taken(CSV, owner)
    report = taken(CSV, owner)
    assert (report.new, report.known, report.stored) == (0, 3, False)
    assert Client.objects.count() == 3


def test_who_stands_twice_in_the_file_is_named(owner):
    report = taken(CSV + "Ashdown;Ada;07700 900123;ada@ashdown.example;;\n", owner)
    (bad,) = [line for line in report.lines if line.what == "mend"]
    assert (bad.line, bad.says) == (5, "The same person stands in line 2. Take one of them out.")


def test_the_questions_do_not_grow_with_the_lines(owner, django_assert_max_num_queries):
    few = "Given name;Family name\n" + "".join(f"Ada;Ash{n:03d}x\n" for n in range(5))
    many = "Given name;Family name\n" + "".join(f"Ida;Ash{n:03d}x\n" for n in range(200))
    with django_assert_max_num_queries(15):
        taken(few, owner)
    with django_assert_max_num_queries(25):  # SQLite takes so many values at a time and no more
        taken(many, owner)
    assert Client.objects.count() == 205


@pytest.mark.parametrize("source", [CSV, VCARD_3, VCARD_4], ids=["csv", "vcard 3", "vcard 4"])
def test_spoilt_files_get_a_sentence_each_and_store_nothing(owner, source):
    """170 of each of three, 510 in all; one that happens to be in order still is not stored before it was looked at."""
    for seed in range(170):
        report = take_in(content=spoilt(source, seed), dry_run=True, by=owner, today=TODAY)
        assert report.lines, seed
        for line in report.lines:
            if line.what == "mend":
                assert len(line.says) > 12, seed
                assert line.says[0].isupper() or line.says[0] in "“0123456789", seed
                assert line.says.rstrip().endswith((".", "?", ")")), (seed, line.says)
    assert not Client.objects.exists()


@pytest.fixture
def page(client, owner):
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    return client


def send(page, content, **more):
    name = more.pop("name", "people.csv")
    return page.post(reverse("clients-import"), {"people": SimpleUploadedFile(name, content), **more})


def test_the_page_looks_first_and_takes_in_what_was_looked_at(page):
    looked = send(page, CSV.encode(), look="")
    assert "3 new, 0 here already" in looked.content.decode()
    assert not Client.objects.exists()
    send(page, CSV.encode(), store="", looked_at=looked.context["looked_at"])
    assert Client.objects.count() == 3


def test_the_page_takes_nothing_in_that_was_not_looked_at(page):
    looked = send(page, VCARD_3.encode(), look="", name="cards.vcf")
    other = send(page, CSV.encode(), store="", looked_at=looked.context["looked_at"])
    assert "not the file that was looked at" in other.content.decode()
    assert not Client.objects.exists()


def test_the_page_asks_for_a_file(page):
    assert "Choose a file." in page.post(reverse("clients-import"), {"look": ""}).content.decode()


def test_spoilt_files_never_break_the_page(page):
    for seed in range(0, 500, 17):
        source = (CSV, VCARD_3, VCARD_4)[seed % 3]
        answer = send(page, spoilt(source, seed), store="", looked_at="0" * 64)
        assert answer.status_code == 200
        assert "import-report" in answer.content.decode()
    assert not Client.objects.exists()
