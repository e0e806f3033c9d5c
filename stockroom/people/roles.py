"""The three roles: Django groups, and what each may do.

A person may hold two roles. Permissions are granted again after every migration, so a new one
reaches the groups with the release that brings it; what a department grants on top stays.
"""

HEAD, TEACHER, TECHNICIAN = "Department head", "Teacher", "Technician"
ALL = (HEAD, TEACHER, TECHNICIAN)

_SHELF_NOUNS = ("chemical", "reagent", "component", "location", "supplier", "offer", "preparation")

#: "app.codename" -> the roles that hold it.
PERMISSIONS: dict[str, tuple[str, ...]] = {
    # what is on the shelves
    **{f"stockroom.view_{noun}": ALL for noun in (*_SHELF_NOUNS, "container", "movement", "reservation")},
    **{
        f"stockroom.{act}_{noun}": (HEAD, TECHNICIAN)
        for noun in _SHELF_NOUNS
        for act in ("add", "change", "delete")
    },
    "stockroom.change_container": (TECHNICIAN,),
    "stockroom.receive_stock": (TECHNICIAN,),
    "stockroom.draw_stock": (TECHNICIAN,),
    "stockroom.move_stock": (TECHNICIAN,),
    "stockroom.count_stock": (TECHNICIAN,),
    "stockroom.view_stockcount": (HEAD, TECHNICIAN),
    "stockroom.make_up": (TECHNICIAN,),
    "stockroom.discard_stock": (TECHNICIAN,),
    "stockroom.reverse_movement": (TECHNICIAN,),
    "stockroom.quarantine_stock": (HEAD, TECHNICIAN),
    "stockroom.set_reorder_point": (HEAD,),
    # hazards
    "stockroom.view_safetydatasheet": ALL,
    "stockroom.add_safetydatasheet": (HEAD, TECHNICIAN),
    "stockroom.change_safetydatasheet": (HEAD, TECHNICIAN),
    "stockroom.check_hazards": (HEAD, TECHNICIAN),
    # aging, limits, what is not for schools
    "stockroom.view_containertest": ALL,
    "stockroom.add_containertest": (TECHNICIAN,),
    "stockroom.view_departmentlimit": ALL,
    **{f"stockroom.{act}_departmentlimit": (HEAD,) for act in ("add", "change")},
    "stockroom.view_writtenreason": (HEAD, TECHNICIAN),
    "stockroom.add_writtenreason": (HEAD,),
    # what the sewer authority allows, the annual review (the head alone starts and signs it)
    "stockroom.view_drainpermission": ALL,
    **{f"stockroom.{act}_drainpermission": (HEAD,) for act in ("add", "change")},
    "stockroom.walk_review": (HEAD, TECHNICIAN),
    # orders
    "stockroom.view_order": (HEAD, TECHNICIAN),
    "stockroom.change_order": (HEAD,),
    "stockroom.approve_order": (HEAD,),
    "stockroom.view_budget": (HEAD,),
    "stockroom.change_budget": (HEAD,),
    # waste
    "stockroom.view_wastecontainer": ALL,
    "stockroom.add_wastecontainer": (TECHNICIAN,),
    "stockroom.change_wastecontainer": (TECHNICIAN,),
    "stockroom.change_ownwastelimit": (HEAD,),
    # the department
    "stockroom.change_department": (HEAD,),
    "stockroom.view_activity": (HEAD,),
    "stockroom.review_stock": (HEAD,),
    "stockroom.manage_users": (HEAD,),
    # demonstrations
    **{f"demos.view_{noun}": ALL for noun in ("demonstration", "booking", "run", "room", "period", "topic")},
    "demos.add_demonstration": (TEACHER, TECHNICIAN),
    "demos.change_demonstration": (TEACHER, TECHNICIAN),
    "demos.add_topic": (TEACHER, TECHNICIAN),
    "demos.add_booking": (TEACHER,),
    "demos.change_booking": (TEACHER,),
    "demos.cancel_booking": (TEACHER,),
    "demos.say_how_it_went": (TEACHER,),
    "demos.record_run": (TECHNICIAN,),
    "demos.change_timetable": (HEAD, TECHNICIAN),
}


def grant_roles(sender, **kwargs):
    """Create the groups and give them the permissions of one app (a post_migrate receiver)."""
    from django.contrib.auth.management import create_permissions
    from django.contrib.auth.models import Group, Permission

    # post_migrate receivers run in no promised order, and ours needs the permissions to be there.
    create_permissions(sender, verbosity=0)
    groups = {name: Group.objects.get_or_create(name=name)[0] for name in ALL}
    found = {
        permission.codename: permission
        for permission in Permission.objects.filter(content_type__app_label=sender.label)
    }
    for label, roles in PERMISSIONS.items():
        app, codename = label.split(".")
        if app == sender.label:
            for role in roles:
                groups[role].permissions.add(found[codename])
