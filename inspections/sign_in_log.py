"""What happens to sign-ins, for the log: members by their keys alone, and whoever failed by nothing."""

import logging
from functools import partial

from allauth.account.signals import password_changed, password_reset
from allauth.mfa.signals import authenticator_added, authenticator_removed
from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed

LOG = logging.getLogger("sign_in")
EVENTS = (
    (user_logged_in, "signed in"),
    (user_logged_out, "signed out"),
    (password_changed, "changed the password"),
    (password_reset, "chose a new password by a link"),
    (authenticator_added, "added a second factor"),
    (authenticator_removed, "removed a second factor"),
)


def connect():
    for signal, words in EVENTS:
        signal.connect(partial(_note, words), weak=False, dispatch_uid=f"log: {words}")
    user_login_failed.connect(_note_failure, dispatch_uid="log: failed")


def _note(words, *, user=None, **kwargs):
    if user is not None:
        LOG.info("Member %s %s", user.pk, words)


def _note_failure(**kwargs):
    LOG.warning("A sign-in failed")
