"""The electrical values that a load, and a firm's usual part, have in common."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inspections.models.circuit import positive_decimal
from remedies.enums import CapacitorClass, LoadKind
from remedies.wording import values_in_words


class ElectricalValues(models.Model):
    """The values that decide what an insulation tester sees. All may be unknown."""

    kind = models.CharField(max_length=20, choices=LoadKind)
    capacitor_class = models.CharField(max_length=2, choices=CapacitorClass, blank=True)
    capacitance_uf = positive_decimal("capacitance (µF)", digits=9, places=4, top=1000)
    resistance_ohm = positive_decimal("resistance (Ω), of one", digits=12, places=2, top=Decimal("1e9"))
    resistors_in_series = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    discharge_resistor_ohm = positive_decimal(
        "discharge resistor (Ω)", digits=12, places=2, top=Decimal("1e9")
    )
    tolerance_percent = models.DecimalField(
        "tolerance (± %)",
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(90)],
    )
    rated_voltage_v = models.PositiveSmallIntegerField(
        "rated or continuous voltage (V)", null=True, blank=True, validators=[MinValueValidator(1)]
    )
    rated_power_w = positive_decimal("rated power (W)", digits=7, places=2, top=10000)

    class Meta:
        abstract = True

    def value_text(self):
        """The electrical values that are known, with their units."""
        return values_in_words(self)

    def values(self):
        """The electrical values, by field name."""
        return {field.name: getattr(self, field.name) for field in ElectricalValues._meta.get_fields()}

    def clean_values(self):
        """What a kind cannot do without, and what must never be connected."""
        if self.kind == LoadKind.RC_NETWORK and (self.capacitance_uf is None) != (
            self.resistance_ohm is None
        ):
            raise ValidationError(
                {"kind": "A resistor and capacitor in series needs both values, or neither."}
            )
