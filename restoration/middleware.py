"""Headers that every answer carries."""

from django.conf import settings


def content_policy(get_response):
    """Send the content security policy: nothing runs or loads but what this app serves."""
    policy = "; ".join(f"{name} {value}" for name, value in settings.CONTENT_POLICY.items())

    def middleware(request):
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", policy)
        return response

    return middleware
