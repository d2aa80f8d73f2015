"""What every page with an ordinary form does."""

from django.contrib import messages
from django.shortcuts import redirect, render

from inspections.forms.layout import saved
from inspections.views.undo import say_with_undo


def posted(request):
    """What was typed, or None when the form is only asked for."""
    return request.POST if request.method == "POST" else None


def form_page(
    request, form, save, *, done, said, heading, back, undo=True, template="inspections/form.html", **context
):
    """Show ``form``. When it is posted and ``save`` accepts it, say ``said`` and go on to ``done()``.

    said: words, or a function that makes them of what was saved. heading: title of the page. back: address
    to go back to without saving, and after what was made is taken back. undo: whether it may be taken back.
    """
    if request.method == "POST" and saved(form, save):
        words = said() if callable(said) else said
        if undo:
            say_with_undo(request, words, instead=back if request.act.makes_rows else "")
        else:
            messages.success(request, words)
        return redirect(done())
    return render(request, template, {"form": form, "heading": heading, "back": back, **context})
