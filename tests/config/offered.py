"""What a page offers to do: the links, forms and buttons on it, each with the way it is used."""

from html.parser import HTMLParser
from urllib.parse import urlsplit

# Elements that are never closed.
VOID = frozenset({"br", "hr", "img", "input", "link", "meta", "source", "wbr"})


class Offers(HTMLParser):
    """``offers`` of a page at ``where``: pairs of method and path. A form that nothing sends, as where its
    fields are closed to whoever looks, offers nothing."""

    def __init__(self, where):
        super().__init__()
        self.where = where
        self.offers = set()
        self.open = []  # tags with their attributes, the outermost first

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        if tag == "a" and "href" in attrs:
            self._add("get", attrs["href"])
        if not self._is_closed(attrs):
            self._add_what_works(tag, attrs)
        if tag not in VOID:
            self.open.append((tag, attrs))

    def handle_endtag(self, tag):
        while self.open:
            closed, _ = self.open.pop()
            if closed == tag:
                return

    def _is_closed(self, attrs):
        return "disabled" in attrs or any(
            tag == "fieldset" and "disabled" in around for tag, around in self.open
        )

    def _add_what_works(self, tag, attrs):
        for word in ("get", "post"):
            if f"hx-{word}" in attrs:
                self._add(word, attrs[f"hx-{word}"])
        if tag == "button" and attrs.get("type", "submit") == "submit":
            self._add_form(attrs)

    def _add_form(self, button):
        form = next((attrs for tag, attrs in reversed(self.open) if tag == "form"), None)
        if form is not None:
            self._add(form.get("method", "get"), button.get("formaction") or form.get("action") or self.where)

    def _add(self, method, address):
        parts = urlsplit(address)
        if not parts.scheme and not parts.netloc:
            self.offers.add((method.lower(), parts.path or self.where))


def offers_of(page, where):
    parser = Offers(where)
    parser.feed(page)
    return parser.offers
