"""The address that monitors ask. Whoever lacks the token learns not even that it is there."""

import secrets

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from stockroom.common import health


@require_GET
@never_cache
@login_not_required
def standing(request):
    """`Authorization: Bearer TOKEN`. 200 where all works, 503 where something does not, 404 to strangers."""
    told = request.headers.get("Authorization", "")
    token = settings.HEALTH_TOKEN
    if not token or not secrets.compare_digest(told.encode(), f"Bearer {token}".encode()):
        raise Http404
    found = health.standing()
    return JsonResponse(found, status=200 if all(found.values()) else 503)
