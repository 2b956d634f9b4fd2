"""What an answer says: whether it was taken, refused or only asked, and in which sentences."""

import json
from html import unescape

from django import forms
from django.contrib.messages import constants, get_messages


class Answer:
    """One answer to one post, read as a person reads it."""

    def __init__(self, response):
        self.status = response.status_code
        self.response = response
        is_text = response.get("Content-Type", "").startswith(("text/", "application/json"))
        whole = response.getvalue() if response.streaming else response.content  # read to its end, it closes the file
        self.raw = whole.decode() if is_text else ""
        self.is_file = bool(whole) and not is_text
        self.text = unescape(self.raw)
        self.messages = list(get_messages(response.wsgi_request)) if hasattr(response.wsgi_request, "_messages") else []

    @property
    def told(self):
        """What a page that saves or sends by itself is answered."""
        return json.loads(self.raw) if self.response.get("Content-Type", "") == "application/json" else {}

    @property
    def forms(self):
        """The forms that the page was drawn with and that something was typed into."""
        found = {}
        for context in self.response.context or ():
            for layer in getattr(context, "dicts", [context]):
                for form in _forms_in(layer.values(), depth=2):
                    found[id(form)] = form
        return [form for form in found.values() if form.is_bound]

    @property
    def errors(self):
        """Every sentence with which a form refuses."""
        return [str(sentence) for form in self.forms for sentences in form.errors.values() for sentence in sentences]

    @property
    def complaints(self):
        return [str(message) for message in self.messages if message.level >= constants.WARNING]

    @property
    def is_refusal(self):
        has_error = any(message.level == constants.ERROR for message in self.messages)
        by_itself = self.told.get("outcome", "saved") != "saved" or "refused" in self.told
        return self.status >= 400 or bool(self.errors) or has_error or by_itself

    @property
    def sentences(self):
        """What a refused person reads."""
        beside = [sentence for sentences in self.told.get("errors", {}).values() for sentence in sentences]
        versions = [self.told[name] for name in ("versions", "refused") if name in self.told]
        stale = [form.stale_sentence for form in self.forms if getattr(form, "stale_sentence", "")]
        return self.errors + self.complaints + beside + versions + stale

    @property
    def traceback(self):
        """Where a page broke, and why."""
        broken = getattr(self.response, "exc_info", None)
        if not broken:
            return ""
        frame = broken[2]
        places = []
        while frame:
            places.append(f"{frame.tb_frame.f_code.co_filename.rsplit('/', 2)[-2:]}:{frame.tb_lineno}")
            frame = frame.tb_next
        ours = [place for place in places if "site-packages" not in place]
        return f"{broken[0].__name__}: {str(broken[1])[:200]} at {ours[-1]} … {places[-1]}"


def _forms_in(values, depth):
    for value in values:
        if isinstance(value, forms.BaseForm):
            yield value
        elif depth and isinstance(value, (list, tuple)):
            yield from _forms_in(value, depth - 1)
        elif depth and isinstance(value, dict):
            yield from _forms_in(value.values(), depth - 1)
