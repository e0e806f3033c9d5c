"""What every page's frame needs: the department, the signed-in person's roles, where they may go."""

from django.apps import apps
from django.urls import reverse

from stockroom.models import Department


def frame(request):
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"department": Department.current()}
    items = []
    for config in apps.get_app_configs():
        for label, name, permission in getattr(config, "navigation", ()):
            if permission and not user.has_perm(permission):
                continue
            url = reverse(name)
            items.append({"label": label, "url": url, "current": request.path.startswith(url)})
    return {
        "department": Department.current(),
        "navigation": items,
        "role_names": [group.name for group in user.groups.all()],
    }
