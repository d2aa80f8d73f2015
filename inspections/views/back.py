"""Where a page leads back to, when another page has asked it to lead there."""

from django.utils.http import url_has_allowed_host_and_scheme


def back_to(request, wanted: str, otherwise: str) -> str:
    """``wanted`` where it is an address of this site, else ``otherwise``."""
    is_ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if is_ours else otherwise
