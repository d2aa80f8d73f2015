"""Headers that Django does not send itself."""

# No page asks for any of these: a photograph is a chosen file.
PERMISSIONS_POLICY = "camera=(), display-capture=(), geolocation=(), microphone=(), payment=(), usb=()"


class HeadersMiddleware:
    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS_POLICY)
        # No cache on the way keeps a page. Not no-store: a browser then forgets what was typed on going back.
        response.headers.setdefault("Cache-Control", "private")
        return response
