"""What a device is told to keep for itself, in a cookie that only the server reads."""

_A_YEAR_S = 365 * 24 * 60 * 60


def keep_on_device(request, response, name, value):
    """Have this device keep a choice for a year from now."""
    response.set_cookie(
        name, value, max_age=_A_YEAR_S, secure=request.is_secure(), httponly=True, samesite="Lax"
    )
