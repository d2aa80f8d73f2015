"""Signing in and out."""

from django.contrib.auth.views import LoginView, LogoutView

from inspections.forms.session import SignInForm


class SignIn(LoginView):
    template_name = "inspections/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True


class SignOut(LogoutView):
    pass
