"""Signing in, where it differs from allauth's views."""

from allauth.account.views import LoginView, PasswordResetView
from allauth.mfa.adapter import get_adapter
from allauth.mfa.webauthn.views import RemoveWebAuthnView
from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.shortcuts import redirect, render
from django.utils.decorators import method_decorator

from inspections.forms.session import PasskeyRemovalForm
from inspections.models import Firm


class SignIn(LoginView):
    def get(self, request, *args, **kwargs):
        if not Firm.objects.exists():
            return redirect("first_run")
        return super().get(request, *args, **kwargs)


@method_decorator(login_not_required, name="dispatch")
class ForgottenPassword(PasswordResetView):
    """A link by mail; where no mail is set, who to ask instead."""

    def dispatch(self, request, *args, **kwargs):
        if not settings.MAIL_IS_SET:
            return render(request, "account/password_reset_without_mail.html")
        return super().dispatch(request, *args, **kwargs)


class RemovePasskey(RemoveWebAuthnView):
    """Refuses the only second factor where the firm requires one, as allauth does of an app alone."""

    form_class = PasskeyRemovalForm

    def form_valid(self, form):
        if not get_adapter().can_delete_authenticator(self.object):
            form.add_error(None, get_adapter().validation_error("cannot_delete_authenticator"))
            return self.form_invalid(form)
        return super().form_valid(form)
