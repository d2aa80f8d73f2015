"""A person at a page, whose taps, key presses and pages are counted: the budgets of three people's days."""

import re

# What an act takes one who is used to it: think, move the hand there, press (the keystroke-level model:
# Card, Moran and Newell, Communications of the ACM 23 (7), 1980), and type 36 words of five characters a
# minute on a phone (Palin and others, MobileHCI 2019). Values from memory.
TAP_S = 1.35 + 1.10 + 0.20
KEY_S = 60 / (36 * 5)


class Hands:
    """Every act on the page goes through here, so that nothing is done that is not counted.

    A character typed is one key press, as on a keyboard whose Shift is not counted. A choice from a list is
    two taps: one opens it, one takes.
    """

    def __init__(self, page):
        self.page = page
        self.taps = self.keys = self.pages = 0
        page.on("framenavigated", self._turned)

    def _turned(self, frame):
        if frame == self.page.main_frame:
            self.pages += 1

    @property
    def seconds(self):
        """How long all that was counted takes a person; the machine's own time is not in it."""
        return self.taps * TAP_S + self.keys * KEY_S

    def begin_at(self, address):
        """Stand at a page, from which on all is counted."""
        self.page.goto(address)
        self.taps = self.keys = self.pages = 0

    def tap(self, target):
        self.taps += 1
        target.click()

    def tap_link(self, name):
        self.tap(self.page.get_by_role("link", name=name, exact=isinstance(name, str)).first)

    def tap_button(self, name):
        self.tap(self.page.get_by_role("button", name=re.compile(name)).first)

    def choose(self, label, option):
        self.taps += 2
        self.page.get_by_label(label).select_option(label=option)

    def press(self, key):
        self.keys += 1
        self.page.keyboard.press(key)

    def type(self, text):
        self.keys += len(text)
        self.page.keyboard.type(text)
