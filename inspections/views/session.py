"""Signing in and out."""

from django.contrib.auth.views import LoginView, LogoutView
from django.shortcuts import redirect

from inspections.forms.session import SignInForm
from inspections.models import Firm


class SignIn(LoginView):
    template_name = "inspections/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def get(self, request, *args, **kwargs):
        if not Firm.objects.exists():
            return redirect("first_run")
        return super().get(request, *args, **kwargs)


class SignOut(LogoutView):
    pass
