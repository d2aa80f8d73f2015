"""The label stock that a board label is printed on."""

from django import forms

from inspections.forms.layout import LaidOut
from remedies.labels import STOCKS


class PrintLabelForm(LaidOut, forms.Form):
    """The stock a label is printed on, and how many places of its sheet are already used."""

    begins_typing = False

    stock = forms.ChoiceField(label="Label stock", choices=[(stock.key, stock.name) for stock in STOCKS])
    skip = forms.IntegerField(
        label="Places already used",
        required=False,
        min_value=0,
        help_text="On a sheet of labels, row by row from the top",
    )

    def clean(self):
        cleaned = super().clean()
        stock = next((one for one in STOCKS if one.key == cleaned.get("stock")), None)
        skip = cleaned.get("skip") or 0
        if stock and skip >= stock.places > 1:
            self.add_error("skip", f"That sheet has {stock.places} labels: type 0 to {stock.places - 1}.")
        elif stock and skip and stock.places == 1:
            self.add_error("skip", "This stock has one label to a page: type 0.")
        return {**cleaned, "skip": skip}

    def next_place(self) -> dict:
        """What to begin from the next time: the same stock, and the place after this one on its sheet."""
        chosen = self.cleaned_data
        places = next(stock.places for stock in STOCKS if stock.key == chosen["stock"])
        return {"stock": chosen["stock"], "skip": (chosen["skip"] + 1) % places}
