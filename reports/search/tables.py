"""What a search reads: the words of the record, worked out by ``reports.search.work_out`` alone.

The record stays the only truth. Rows that say the same share one text, so that a million circuits called
“Lights” are one text to search; whatever lies at a board is told from its like by the board's own words.
"""

from django.db import models

from inspections.models import Firm
from inspections.querysets import FirmQuerySet


class Kind(models.TextChoices):
    """What is found, in the order it is shown."""

    INSTALLATION = "place", "Installations"
    CLIENT = "client", "Clients"
    RECORD = "record", "Records"
    BOARD = "board", "Boards"
    CIRCUIT = "circuit", "Circuits"
    LOAD = "load", "Loads"


def _of(model):
    """A reference without an index of its own: these rows are replaced, never pointed at."""
    return models.ForeignKey(model, models.CASCADE, related_name="+", db_index=False)


class SearchMark(models.Model):
    """A place or a client changed since its words were last worked out. Written by triggers alone."""

    firm_id = models.BigIntegerField()
    installation_id = models.BigIntegerField(null=True)
    client_id = models.BigIntegerField(null=True)

    class Meta:
        indexes = [models.Index(fields=["firm_id", "installation_id", "client_id"], name="search_mark")]

    def __str__(self):
        return f"{'Installation' if self.installation_id else 'Client'} changed"


class SearchText(models.Model):
    """A set of words that rows of one kind in one firm hold; ``digest`` is of the words."""

    firm = _of(Firm)
    kind = models.CharField(max_length=8, choices=Kind)
    digest = models.CharField(max_length=32)

    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["firm", "kind", "digest"], name="search_text_once")]

    def __str__(self):
        return f"{self.kind} {self.pk}"


class SearchWord(models.Model):
    """A word of a text."""

    firm = _of(Firm)
    kind = models.CharField(max_length=8, choices=Kind)
    word = models.CharField(max_length=40)
    text = _of(SearchText)

    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["firm", "kind", "word", "text"], name="search_word_texts")
        ]
        indexes = [models.Index(fields=["text", "word"], name="search_word_of_text")]

    def __str__(self):
        return self.word


class SearchSpelling(models.Model):
    """A spelling that finds a word: see ``words.spellings``."""

    firm = _of(Firm)
    spelling = models.CharField(max_length=40)
    how = models.PositiveSmallIntegerField()
    word = models.CharField(max_length=40)

    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["firm", "spelling", "how", "word"], name="search_spelling_once")
        ]

    def __str__(self):
        return f"{self.spelling} for {self.word}"


class SearchRow(models.Model):
    """A row of the record (its key is ``target``) and its text; of what lies in a place, the place and the
    board."""

    firm = _of(Firm)
    kind = models.CharField(max_length=8, choices=Kind)
    target = models.BigIntegerField()
    text = _of(SearchText)
    installation_id = models.BigIntegerField(null=True)
    board_id = models.BigIntegerField(null=True)

    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["kind", "target"], name="search_row_once")]
        indexes = [
            models.Index(fields=["text", "target"], name="search_rows_of_text"),
            models.Index(fields=["installation_id"], name="search_rows_of_place"),
            models.Index(fields=["board_id", "kind", "target"], name="search_rows_at_board"),
        ]

    def __str__(self):
        return f"{self.kind} {self.target}"
