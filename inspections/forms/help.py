"""Help where a term of the trade is met."""

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from inspections.terms import Term, term_of


def term_button(term: Term, text: str = "", *, is_first: bool = True) -> SafeString:
    """A button that opens what a term means, by hand or by key and without a script.

    text: what stands on the button, when not the term itself. is_first: the first button of a page brings the
    explanation along; later ones open the same.
    """
    button = format_html(
        '<button class="term" type="button" popovertarget="term-{}">{}</button>', term.key, text or term.word
    )
    if not is_first:
        return button
    return button + format_html(
        '<span class="term-says" popover id="term-{}"><strong>{}</strong> {} <small>{}</small></span>',
        term.key,
        term.word,
        term.says,
        term.reference,
    )


def add_terms(fields) -> None:
    """Put what a term means under the first field of a form that the term is about."""
    explained = set()
    for name, field in fields.items():
        term = term_of(name)
        if term and term not in explained:
            explained.add(term)
            field.help_text = mark_safe(f"{field.help_text} {term_button(term, f'About {term.word}')}")
