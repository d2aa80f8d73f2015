"""What the audit reads: one row for each place, load, circuit and thing that falls due, worked out from the
record by ``reports.audit.work_out`` and by nothing else.

The record stays the only truth. These rows carry the firm and the place that the record reaches over several
tables, and answers that only calculation gives: what a test sees, whether a label is out of date, whether a
reading is explained. A place whose record has changed is marked by the database itself (``marks``) and worked
out anew before the next question is answered.
"""

from datetime import date

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inspections.models import Board, Circuit, Client, Firm, Installation, Member
from inspections.querysets import FirmQuerySet
from remedies.models import ParallelLoad


class Label(models.TextChoices):
    """How a present load stands with the label at its board."""

    NONE = "none", "No label at the board"
    OUT_OF_DATE = "old", "Label out of date"
    UP_TO_DATE = "good", "Label up to date"
    NOT_ASKED = "", "No label asked for"


class Due(models.TextChoices):
    """What falls due."""

    INSPECTION = "inspection", "Inspection"
    CALIBRATION = "calibration", "Instrument calibration"
    C1 = "C1", "C1 still open"
    C2 = "C2", "C2 still open"
    FI = "FI", "FI still open"
    LABEL_MISSING = "label_none", "Label to print: none at the board"
    LABEL_OLD = "label_old", "Label to print: out of date"
    LABEL_WAITS = "label_waits", "Label printed, to be stuck"
    LABEL_CHECK = "label_check", "Label to be checked"


class Lift(models.TextChoices):
    """What the register knows of a circuit without a full test."""

    TIMED = "timed", "Loads to disconnect, time known"
    UNTIMED = "untimed", "Loads to disconnect, time not recorded"
    NOTHING = "nothing", "Nothing in the register is in the way"


class Test(models.TextChoices):
    """A reading that is followed over the years."""

    LIVE_EARTH = "ir_live_earth", "Insulation, live-earth"
    LIVE_LIVE = "ir_live_live", "Insulation, live-live"
    ZS = "zs", "Zs"


NEVER = date.max  # of a day that does not come, so that it sorts behind all that do
NOT_READ_MOHM = 1e9  # of a place and year without such a reading, for the same reason


# What the loads are most chosen by. Indexes that hold it count and pass over rows without reading them.
_CHOSEN_BY = (
    "kind", "capacitor_class", "connection", "state", "origin", "x_to_earth", "is_beyond_rating",
)  # fmt: skip


def _of(model, **kwargs):
    """A reference without an index or a lock of its own: these rows are replaced, never pointed at."""
    return models.ForeignKey(model, models.CASCADE, related_name="+", db_index=False, **kwargs)


class AuditMark(models.Model):
    """A place, or a firm's instruments, changed since it was last worked out. Written by triggers alone."""

    installation_id = models.BigIntegerField(null=True)
    firm_id = models.BigIntegerField(null=True)

    class Meta:
        indexes = [models.Index(fields=["installation_id"], name="audit_mark_place")]

    def __str__(self):
        return f"{'Installation' if self.installation_id else 'Firm'} changed"


class _OfFirm(models.Model):
    firm = _of(Firm)
    client = _of(Client)
    installation = _of(Installation)

    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        abstract = True


class PlaceAudit(_OfFirm):
    """An installation, in the order of names."""

    installation = models.OneToOneField(Installation, models.CASCADE, primary_key=True, related_name="+")
    name = models.CharField(max_length=120)
    client_name = models.CharField(max_length=120)

    class Meta:
        indexes = [
            models.Index(fields=["firm", "name", "installation"], name="audit_place_in_order"),
            models.Index(fields=["client", "firm", "name", "installation"], name="audit_place_of_client"),
        ]

    def __str__(self):
        return self.name


class LoadAudit(_OfFirm):
    """A load of the register. ``part``: kind and values in words, without its count. ``seen_at_500``,
    ``seen_at_250``: whether a live-live test at that voltage [V] sees it. ``beyond_rating``: why it is used
    beyond its rating, by today's calculation; empty where it is not, or cannot be calculated."""

    load = models.OneToOneField(ParallelLoad, models.CASCADE, primary_key=True, related_name="+")
    board = _of(Board)
    circuit = _of(Circuit)
    place = models.CharField(max_length=120)
    part = models.CharField(max_length=160)
    kind = models.CharField(max_length=20)
    capacitor_class = models.CharField(max_length=2, blank=True)
    connection = models.CharField(max_length=4)
    state = models.CharField(max_length=12)
    origin = models.CharField(max_length=8)
    is_hidden = models.BooleanField()
    since = models.DateField()
    entered_by = _of(Member, null=True)
    label = models.CharField(max_length=4, choices=Label, blank=True)
    seen_at_500 = models.BooleanField()
    seen_at_250 = models.BooleanField()
    x_to_earth = models.BooleanField()
    beyond_rating = models.CharField(max_length=300, blank=True)
    is_beyond_rating = models.BooleanField()

    class Meta:
        indexes = [
            models.Index(
                fields=["firm", "kind", "state", "is_hidden", "label", "seen_at_500"],
                condition=Q(seen_at_500=True),
                name="audit_load_500",
            ),
            models.Index(
                fields=["firm", "kind", "state", "is_hidden", "label", "seen_at_250"],
                condition=Q(seen_at_250=True),
                name="audit_load_250",
            ),
            models.Index(
                fields=[
                    "installation", "firm", "kind", "state", "is_hidden", "label", "seen_at_500",
                    "seen_at_250",
                ],
                name="audit_load_of_place",
            ),
            models.Index(fields=["firm", "place", "load", *_CHOSEN_BY], name="audit_load_in_order"),
            models.Index(fields=["firm", *_CHOSEN_BY, "since"], name="audit_load_by_choice"),
            models.Index(fields=["firm", "part", *_CHOSEN_BY], name="audit_load_by_part"),
            models.Index(fields=["client", "firm"], name="audit_load_of_client"),
            models.Index(fields=["firm", "entered_by", *_CHOSEN_BY], name="audit_load_by_member"),
            models.Index(
                fields=["firm", "place", "load"],
                condition=Q(is_beyond_rating=True),
                name="audit_load_beyond_rating",
            ),
            models.Index(
                fields=["firm", "place", "load"], condition=Q(x_to_earth=True), name="audit_load_x_to_earth"
            ),
        ]  # fmt: skip

    def __str__(self):
        return f"{self.part}, {self.place}"


class CircuitAudit(_OfFirm):
    """A circuit that has gone without a full line-neutral test, or whose last reading nothing explains.

    without: inspections since the last full test; since: the day that count begins; reason: why, by the
    limitation of the last inspection, empty where none covers it. in_the_way: loads to disconnect for a full
    test, in ``minutes``; lift: whether there are any, and their times are recorded. reading, volts, read_on:
    the last reading, where it is unexplained and nothing followed; unexplained_since: the first of its run.
    """

    circuit = models.OneToOneField(Circuit, models.CASCADE, primary_key=True, related_name="+")
    board = _of(Board)
    place = models.CharField(max_length=120)
    without = models.PositiveSmallIntegerField()
    since = models.DateField(null=True)
    last_full = models.DateField(null=True)
    reason = models.CharField(max_length=200, blank=True)
    in_the_way = models.PositiveSmallIntegerField()
    minutes = models.PositiveIntegerField()
    lift = models.CharField(max_length=7, choices=Lift)
    reading = models.CharField(max_length=16, blank=True)
    volts = models.PositiveSmallIntegerField(null=True)
    read_on = models.DateField(null=True)
    unexplained_since = models.DateField(null=True)
    summary = models.CharField(max_length=300, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["installation"], name="audit_circuit_of_place"),
            models.Index(fields=["client", "firm"], name="audit_circuit_of_client"),
            models.Index(
                fields=["firm", "since", "circuit"],
                condition=Q(without__gt=0),
                name="audit_circuit_longest",
            ),
            models.Index(
                fields=["firm", "minutes", "circuit"],
                condition=Q(without__gt=0),
                name="audit_circuit_least_work",
            ),
            models.Index(
                fields=["firm", "lift", "installation", "place", "minutes", "without", "since"],
                condition=Q(without__gt=0),
                name="audit_circuit_work",
            ),
            models.Index(
                fields=["firm", "reason", "lift", "without", "since"],
                condition=Q(without__gt=0),
                name="audit_circuit_reason",
            ),
            models.Index(
                fields=["firm", "read_on", "circuit", "volts", "unexplained_since"],
                condition=Q(read_on__isnull=False),
                name="audit_circuit_unexplained",
            ),
        ]

    def __str__(self):
        return f"Circuit {self.circuit_id}, {self.place}"


class DueAudit(_OfFirm):
    """Something that falls due on a day, or has waited since then. ``subject``: what of the place, in words;
    ``target``: the key of the row it is about (installation, board, instrument or observation)."""

    client = _of(Client, null=True)
    installation = _of(Installation, null=True)
    place = models.CharField(max_length=120)
    what = models.CharField(max_length=12, choices=Due)
    on = models.DateField()
    subject = models.CharField(max_length=200)
    target = models.BigIntegerField()

    class Meta:
        indexes = [
            models.Index(fields=["firm", "on", "id"], name="audit_due_in_order"),
            models.Index(fields=["firm", "what", "on"], name="audit_due_what"),
            models.Index(fields=["installation"], name="audit_due_of_place"),
            models.Index(fields=["client", "firm"], name="audit_due_of_client"),
        ]

    def __str__(self):
        return f"{self.get_what_display()}, {self.place}"


class YearAudit(_OfFirm):
    """The insulation and Zs of a place as read in one year, the last reading of each circuit.

    circuits: how many were read. live_earth, live_live: the lowest, and the median, in MΩ as ``Between`` says
    it; ``_mohm`` sorts. zs: the worst as a share of its limit [%]; zs_percent sorts. ``…_of``: the circuit
    that has it. fallen: circuits of which a reading fell by half or Zs rose since the one before. towards:
    circuits of which the line met its limit within ten years then. is_latest: nothing was read later.
    """

    place = models.CharField(max_length=120)
    year = models.PositiveSmallIntegerField()
    is_latest = models.BooleanField()
    circuits = models.PositiveIntegerField()
    live_earth = models.CharField(max_length=40, blank=True)
    live_earth_median = models.CharField(max_length=40, blank=True)
    live_earth_mohm = models.FloatField(default=NOT_READ_MOHM)
    live_earth_of = models.BigIntegerField(null=True)
    live_live = models.CharField(max_length=40, blank=True)
    live_live_median = models.CharField(max_length=40, blank=True)
    live_live_mohm = models.FloatField(default=NOT_READ_MOHM)
    live_live_of = models.BigIntegerField(null=True)
    zs = models.CharField(max_length=16, blank=True)
    zs_percent = models.PositiveIntegerField(default=0)
    zs_of = models.BigIntegerField(null=True)
    fallen = models.PositiveIntegerField()
    towards = models.PositiveIntegerField()

    class Meta:
        indexes = [
            models.Index(fields=["firm", "place", "installation", "-year"], name="audit_year_in_order"),
            models.Index(
                fields=["firm", "is_latest", "year", "fallen", "towards", "live_earth_mohm", "zs_percent"],
                name="audit_year_by_choice",
            ),
            models.Index(fields=["firm", "year", "live_earth_median", "live_earth"], name="audit_year_drawn"),
            models.Index(fields=["firm", "live_earth_mohm", "id"], name="audit_year_lowest"),
            models.Index(fields=["firm", "live_live_mohm", "id"], name="audit_year_lowest_live"),
            models.Index(fields=["firm", "-zs_percent", "id"], name="audit_year_worst_zs"),
            models.Index(fields=["installation"], name="audit_year_of_place"),
            models.Index(fields=["client", "firm"], name="audit_year_of_client"),
        ]

    def __str__(self):
        return f"{self.place}, {self.year}"


class TrendAudit(_OfFirm):
    """A reading of a circuit that got worse: the last one beside the one before that may be compared with it.

    has_changed: insulation fell by half, or Zs rose by more than two instruments account for. limit: what it
    is held to, in its unit; percent: the share of it that is used, 100 at the limit, 0 where none is known.
    readings: how many of the circuit may be compared. meets_on: when the line through them meets the limit,
    ``NEVER`` without one; from, until: its 95 % range, until None where perhaps never. by_share: the line is
    one of equal shares a year.
    """

    circuit = _of(Circuit)
    place = models.CharField(max_length=120)
    test = models.CharField(max_length=16, choices=Test)
    volts = models.PositiveSmallIntegerField(null=True)
    was = models.CharField(max_length=16)
    was_on = models.DateField()
    reading = models.CharField(max_length=16)
    read_on = models.DateField()
    has_changed = models.BooleanField()
    limit = models.CharField(max_length=16, blank=True)
    percent = models.PositiveIntegerField(default=0)
    readings = models.PositiveSmallIntegerField()
    meets_on = models.DateField(default=NEVER)
    meets_from = models.DateField(null=True)
    meets_until = models.DateField(null=True)
    by_share = models.BooleanField(default=False)

    class Meta:
        indexes = [
            models.Index(fields=["firm", "-percent", "id"], name="audit_trend_worst"),
            models.Index(fields=["firm", "meets_on", "id"], name="audit_trend_soonest"),
            models.Index(fields=["firm", "place", "id"], name="audit_trend_in_order"),
            models.Index(
                fields=["firm", "test", "has_changed", "percent", "meets_on"], name="audit_trend_by_choice"
            ),
            models.Index(fields=["installation"], name="audit_trend_of_place"),
            models.Index(fields=["client", "firm"], name="audit_trend_of_client"),
        ]

    def __str__(self):
        return f"{self.get_test_display()}, {self.place}"


class SavedFilter(models.Model):
    """A question of the audit with its choices, under a name that all the firm sees."""

    firm = models.ForeignKey(Firm, models.PROTECT, related_name="saved_filters")
    question = models.CharField(max_length=40)
    name = models.CharField(max_length=80)
    choices = models.TextField("choices, as in the address", blank=True, max_length=2000)
    saved_by = models.ForeignKey(Member, models.PROTECT, related_name="+")

    history = HistoricalRecords()
    FIRM_PATH = "firm"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["question", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["firm", "question", "name"],
                name="saved_filter_name_once_a_question",
                violation_error_message=(
                    "That name is taken for this question. Choose another, or remove it first."
                ),
            ),
            models.CheckConstraint(condition=~Q(name=""), name="saved_filter_has_a_name"),
        ]

    def __str__(self):
        return self.name


class Reminder(models.Model):
    """A member's reminders by mail. told: keys of what the last one named and still waits; sent_on: when it
    went."""

    member = models.OneToOneField(Member, models.PROTECT, related_name="reminder")
    is_wanted = models.BooleanField(default=True)
    sent_on = models.DateField(null=True, blank=True)
    told = models.JSONField(default=list, blank=True)

    FIRM_PATH = "member__firm"
    objects = FirmQuerySet.as_manager()

    def __str__(self):
        return f"Reminders of {self.member}"
