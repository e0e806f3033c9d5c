"""What every page's frame needs: the department, the signed-in person's roles, where they may go."""

from django.apps import apps
from django.urls import reverse

from stockroom.common.department import Department

#: the menus of the top bar, in this order
GROUPS = ("Demonstrations", "Shelves", "Supply", "Safety", "Department")


def frame(request):
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"department": Department.current()}
    groups: dict[str, list[dict]] = {}
    for config in apps.get_app_configs():
        for group, label, name, permission in getattr(config, "navigation", ()):
            if user.has_perm(permission):
                url = reverse(name)
                here = request.path == url or (url != "/" and request.path.startswith(url))
                groups.setdefault(group, []).append({"label": label, "url": url, "current": here})
    return {
        "department": Department.current(),
        "navigation": [
            {
                "label": group,
                "items": groups[group],
                "current": any(item["current"] for item in groups[group]),
            }
            for group in GROUPS
            if group in groups
        ],
        "role_names": [group.name for group in user.groups.all()],
    }
