"""Addresses of signing in. The views are allauth's, and so are the names, which it asks for itself; of its
addresses only these are there."""

from allauth.account import views as account
from allauth.mfa.base import views as second_factor
from allauth.mfa.recovery_codes import views as recovery_codes
from allauth.mfa.totp import views as app
from allauth.mfa.webauthn import views as passkeys
from django.urls import include, path, re_path

from inspections.views import session

SIGN_IN = [
    path("", session.SignIn.as_view(), name="account_login"),
    path("second-factor/", second_factor.authenticate, name="mfa_authenticate"),
    path("closed/", account.account_inactive, name="account_inactive"),
    path("address/", account.email_verification_sent, name="account_email_verification_sent"),
    path("address/<str:key>/", account.confirm_email, name="account_confirm_email"),
    path("again/", account.reauthenticate, name="account_reauthenticate"),
    path("again/code/", second_factor.reauthenticate, name="mfa_reauthenticate"),
    path("again/passkey/", passkeys.reauthenticate_webauthn, name="mfa_reauthenticate_webauthn"),
]

PASSWORD = [
    path("", account.password_change, name="account_change_password"),
    path("forgotten/", session.ForgottenPassword.as_view(), name="account_reset_password"),
    path("forgotten/sent/", account.password_reset_done, name="account_reset_password_done"),
    re_path(
        r"^new/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>[^/]+)/$",
        account.password_reset_from_key,
        name="account_reset_password_from_key",
    ),
    path("new/", account.password_reset_from_key_done, name="account_reset_password_from_key_done"),
]

SECOND_FACTOR = [
    path("", second_factor.index, name="mfa_index"),
    path("app/", app.activate_totp, name="mfa_activate_totp"),
    path("app/remove/", app.deactivate_totp, name="mfa_deactivate_totp"),
    path("passkeys/", passkeys.list_webauthn, name="mfa_list_webauthn"),
    path("passkeys/add/", passkeys.add_webauthn, name="mfa_add_webauthn"),
    path("passkeys/<int:pk>/name/", passkeys.edit_webauthn, name="mfa_edit_webauthn"),
    path("passkeys/<int:pk>/remove/", session.RemovePasskey.as_view(), name="mfa_remove_webauthn"),
    path("recovery-codes/", recovery_codes.view_recovery_codes, name="mfa_view_recovery_codes"),
    path("recovery-codes/new/", recovery_codes.generate_recovery_codes, name="mfa_generate_recovery_codes"),
    path("recovery-codes/file/", recovery_codes.download_recovery_codes, name="mfa_download_recovery_codes"),
]

urlpatterns = [
    path("sign-in/", include(SIGN_IN)),
    path("sign-out/", account.logout, name="account_logout"),
    path("password/", include(PASSWORD)),
    path("your-sign-in/", include(SECOND_FACTOR)),
]
