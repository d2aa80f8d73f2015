"""Every page: its own firm may see it, another firm finds nothing there, and no one sees it unsigned."""

from html.parser import HTMLParser

import pytest
from django.urls import reverse

from inspections.access import NO_FIRM
from tests.factories import BoardFactory, MemberFactory

LISTS = (
    "today",
    "clients",
    "client_add",
    "installations",
    "installation_add",
    "instruments",
    "instrument_add",
)
ROWS = (
    ("client", "client"),
    ("client_change", "client"),
    ("installation", "installation"),
    ("installation_change", "installation"),
    ("board_add", "installation"),
    ("inspection_start", "installation"),
    ("board", "board"),
    ("board_change", "board"),
    ("board_copy_circuits", "board"),
    ("circuit_add", "board"),
    ("circuit", "circuit"),
    ("circuit_change", "circuit"),
    ("circuit_retire", "circuit"),
    ("instrument_change", "instrument"),
    ("inspection", "inspection"),
    ("inspection_change", "inspection"),
    ("limitation_add", "inspection"),
    ("limitation_change", "limitation"),
    ("visual_items", "inspection"),
    ("observation_add", "inspection"),
    ("observation_change", "observation"),
    ("observation_put_right", "observation"),
)


def addresses(place):
    """Address of every page that shows one row."""
    return [
        *(reverse(name, args=[getattr(place, row).pk]) for name, row in ROWS),
        reverse("board_result", args=[place.inspection.pk, place.board.pk]),
    ]


def title_of(response):
    return response.content.decode().split("<title>")[1].split("</title>")[0]


def test_pages_of_own_firm_all_show_with_titles_of_their_own(place, inside):
    pages = [*(reverse(name) for name in LISTS), *addresses(place)]

    shown = {page: inside.get(page) for page in pages}

    assert {page: response.status_code for page, response in shown.items()} == dict.fromkeys(pages, 200)
    titles = [title_of(response) for response in shown.values()]
    assert len(set(titles)) == len(titles)


class Markup(HTMLParser):
    """What a page must not hold, and the names of fields that no label is for."""

    def __init__(self, page):
        super().__init__()
        self.inline, self.fields, self.labelled = [], {}, set()
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "style" or (tag == "script" and "src" not in given):
            self.inline.append(tag)
        self.inline += [name for name in given if name == "style" or name.startswith("on")]
        if tag == "label":
            self.labelled.add(given.get("for"))
        if tag in ("input", "select", "textarea") and given.get("type") != "hidden":
            self.fields[given.get("id")] = given["name"]

    @property
    def unlabelled(self):
        return [name for id_, name in self.fields.items() if id_ not in self.labelled]


def test_pages_hold_no_inline_script_or_style_and_every_field_has_a_label(place, inside):
    for address in [*(reverse(name) for name in LISTS), *addresses(place)]:
        page = Markup(inside.get(address).content.decode())
        assert (page.inline, page.unlabelled) == ([], []), address


def test_pages_of_another_firm_are_not_found(place, browser_of):
    stranger = browser_of(MemberFactory())

    assert {stranger.get(page).status_code for page in addresses(place)} == {404}
    # Not there, or a page to which nobody posts.
    assert {stranger.post(page, {}).status_code for page in addresses(place)} == {404, 405}


def test_lists_do_not_show_rows_of_another_firm(place, browser_of):
    stranger = browser_of(MemberFactory())

    for name in ("today", "clients", "installations", "instruments"):
        page = stranger.get(reverse(name)).content.decode()
        assert "Larkfield" not in page
        assert "TW-0412" not in page


@pytest.mark.parametrize("name", LISTS)
def test_list_unsigned_is_sent_to_sign_in(db, client, name):
    address = reverse(name)

    response = client.get(address)

    assert response.status_code == 302
    assert response.url == f"{reverse('account_login')}?next={address}"


def test_pages_unsigned_are_sent_to_sign_in(place, client):
    for address in addresses(place):
        response = client.get(address)
        assert response.status_code == 302
        assert response.url.startswith(reverse("account_login"))


def test_whoever_runs_the_service_is_shown_the_way_to_the_admin(db, browser_of):
    service = MemberFactory(firm=None, is_superuser=True, is_staff=True)

    response = browser_of(service).get(reverse("today"))

    assert response.status_code == 403
    page = response.content.decode()
    assert NO_FIRM in page
    assert reverse("admin:index") in page


def test_another_firms_client_cannot_be_chosen_for_an_installation(place, browser_of, errors_of):
    stranger = browser_of(MemberFactory())
    typed = {"client": place.client.pk, "name": "Larkfield Hall"}

    response = stranger.post(reverse("installation_add"), typed)

    assert "client" in errors_of(response)
    assert place.client.installations.count() == 1


def test_board_of_another_installation_is_not_found_at_a_visit(place, inside):
    elsewhere = BoardFactory(installation__client=place.client)

    assert inside.get(reverse("board_result", args=[place.inspection.pk, elsewhere.pk])).status_code == 404
