"""What a password may be, beside Django's own rules."""

from django.core.exceptions import ValidationError

LONGEST = 128
WHAT_IS_TAKEN = (
    "12 characters or more; a few words together do well. Not a common password, nor your name or address."
)


class MaximumLengthValidator:
    """A text without end would only keep the server at hashing it."""

    def validate(self, password, user=None):
        if len(password) > LONGEST:
            raise ValidationError(f"This password is longer than {LONGEST} letters. Choose a shorter one.")

    def get_help_text(self):
        return f"Your password may have up to {LONGEST} letters, of any kind."
