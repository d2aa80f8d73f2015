"""What every page with an ordinary form does."""

from django.contrib import messages
from django.shortcuts import redirect, render

from inspections.forms.layout import saved


def posted(request):
    """What was typed, or None when the form is only asked for."""
    return request.POST if request.method == "POST" else None


def form_page(request, form, save, *, done, said, heading, back, template="inspections/form.html", **context):
    """Show ``form``. When it is posted and ``save`` accepts it, say ``said`` and go on to ``done()``.

    heading: title of the page. back: address to go back to without saving.
    """
    if request.method == "POST" and saved(form, save):
        messages.success(request, said)
        return redirect(done())
    return render(request, template, {"form": form, "heading": heading, "back": back, **context})
