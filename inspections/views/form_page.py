"""What every page with an ordinary form does."""

from django.contrib import messages
from django.shortcuts import redirect, render

from inspections.forms.layout import saved
from inspections.views.undo import say_with_undo


def posted(request):
    """What was typed, or None when the form is only asked for."""
    return request.POST if request.method == "POST" else None


def form_page(
    request, form, save, *, done, said, heading, back, undo=None, template="inspections/form.html", **context
):
    """Show ``form``. When it is posted and ``save`` accepts it, say ``said`` and go on to ``done()``.

    heading: title of the page. back: address to go back to without saving. undo: model and key of the one
    row that ``save`` changes, where a person may take that back.
    """
    if request.method == "POST" and saved(form, save):
        if undo:
            say_with_undo(request, said, *undo)
        else:
            messages.success(request, said)
        return redirect(done())
    return render(request, template, {"form": form, "heading": heading, "back": back, **context})
