"""The load register: what is left across a circuit, where, why, and what became of it."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from inspections.models import Circuit, Inspection
from inspections.querysets import FirmQuerySet
from remedies.enums import BETWEEN_LIVES, CHARGING, PRESENT, Connection, LoadKind, LoadState, Origin
from remedies.models.values import ElectricalValues
from remedies.wording import in_brief

# A varistor's voltage at 1 mA is about 1.56 times its continuous voltage, ± 10 % (published for 275 V:
# 430 V), so it begins to be seen where the test voltage passes about 4/3 of the continuous voltage.
SURGE_SEEN_FROM = Decimal("0.75")
USUAL_SURGE_V = 275  # continuous voltage taken where it is not recorded


class ParallelLoadQuerySet(FirmQuerySet):
    def present(self):
        """Across a circuit now, or to be put back."""
        return self.filter(state__in=PRESENT)

    def current(self):
        """Whatever the next tester may meet: in place, disconnected or suspected. Not what was taken out."""
        return self.exclude(state=LoadState.TAKEN_OUT)

    def seen_live_live(self, volts):
        """Loads that an insulation test between live conductors at ``volts`` [V] would see. A capacitor
        without discharge resistor only delays the reading; a varistor conducts above its voltage alone."""
        only_delays = Q(kind__in=CHARGING, discharge_resistor_ohm__isnull=True)
        stays_open = Q(kind=LoadKind.SURGE, rated_voltage_v__gt=volts * SURGE_SEEN_FROM)
        if volts * SURGE_SEEN_FROM < USUAL_SURGE_V:
            stays_open |= Q(kind=LoadKind.SURGE, rated_voltage_v__isnull=True)
        return self.filter(connection__in=BETWEEN_LIVES).exclude(only_delays).exclude(stays_open)

    def not_put_back(self):
        """Disconnected for a test and never put back."""
        return self.filter(state=LoadState.DISCONNECTED)

    def for_installation(self, installation):
        return self.filter(circuit__board__installation=installation)


class ParallelLoad(ElectricalValues):
    """One entry of the load register: ``count`` alike parts across one circuit at one place."""

    circuit = models.ForeignKey(Circuit, models.PROTECT, related_name="parallel_loads")
    count = models.PositiveSmallIntegerField("how many", default=1, validators=[MinValueValidator(1)])
    connection = models.CharField(max_length=4, choices=Connection, default=Connection.L_N)
    place = models.CharField("where exactly", max_length=200)
    access = models.CharField("how to get at it", max_length=200, blank=True)
    access_minutes = models.PositiveSmallIntegerField(
        "minutes to get at and disconnect", null=True, blank=True
    )
    is_hidden = models.BooleanField("hidden", default=True)
    photo = models.ImageField(upload_to="loads/", blank=True)
    reason = models.CharField("why it is there", max_length=200, blank=True)

    state = models.CharField(max_length=12, choices=LoadState, default=LoadState.IN_PLACE)
    origin = models.CharField(max_length=8, choices=Origin, default=Origin.FOUND)
    since = models.DateField("fitted or found on")
    inspection = models.ForeignKey(
        Inspection, models.PROTECT, null=True, blank=True, related_name="parallel_loads"
    )
    state_since = models.DateField("in this state since", editable=False)
    taken_out_on = models.DateField(null=True, blank=True)
    taken_out_by = models.CharField(max_length=120, blank=True)
    replaced_by = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="replaces", editable=False
    )
    remarks = models.TextField(blank=True)

    history = HistoricalRecords()
    FIRM_PATH = "circuit__board__installation__client__firm"
    objects = ParallelLoadQuerySet.as_manager()

    class Meta:
        ordering = ["circuit__board__sort_key", "circuit__sort_key", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=LoadKind.values), name="load_kind_known"),
            models.CheckConstraint(
                condition=Q(connection__in=Connection.values), name="load_connection_known"
            ),
            models.CheckConstraint(condition=Q(state__in=LoadState.values), name="load_state_known"),
            models.CheckConstraint(condition=Q(origin__in=Origin.values), name="load_origin_known"),
            models.CheckConstraint(condition=Q(count__gte=1), name="load_counts_at_least_one"),
            models.CheckConstraint(condition=~Q(place=""), name="load_has_a_place"),
            models.CheckConstraint(
                condition=(
                    Q(state=LoadState.TAKEN_OUT, taken_out_on__isnull=False) & ~Q(taken_out_by="")
                    | ~Q(state=LoadState.TAKEN_OUT) & Q(taken_out_on__isnull=True, taken_out_by="")
                ),
                name="load_taken_out_says_when_and_by_whom",
            ),
            models.CheckConstraint(
                condition=Q(taken_out_on__isnull=True) | Q(taken_out_on__gte=F("since")),
                name="load_taken_out_after_it_was_there",
                violation_error_message="It cannot be taken out before it was there.",
            ),
        ]
        indexes = [
            models.Index(fields=["circuit"], condition=Q(state__in=PRESENT), name="load_present_on_circuit")
        ]

    def __str__(self):
        return f"{self.describe()}, {self.place}"

    def clean(self):
        self.clean_values()

    def describe(self):
        """Count, kind and value in a few words: ``2 × suppression capacitor X2 0.1 µF 275 V``."""
        kind = self.get_kind_display()
        parts = [
            f"{self.count} ×" if self.count > 1 else "",
            kind if self.count == 1 else kind[0].lower() + kind[1:],
        ]
        parts += [self.capacitor_class, self.value_text()]
        return " ".join(part for part in parts if part)

    @property
    def connection_in_brief(self):
        return Connection(self.connection).brief

    def in_brief(self):
        """The part in the few words a cell or a label holds: ``2 × X2 0.1 µF``, ``neon 220 kΩ``."""
        return in_brief(self)

    @property
    def is_taken_out(self):
        return self.state == LoadState.TAKEN_OUT

    @property
    def is_disconnected(self):
        return self.state == LoadState.DISCONNECTED

    @property
    def is_suspected(self):
        return self.state == LoadState.SUSPECTED

    @property
    def is_in_place(self):
        return self.state == LoadState.IN_PLACE
