"""A person as the app names them."""


def name_of(person) -> str:
    """The full name of a user, or what they sign in as where none is written down."""
    return person.get_full_name() or person.get_username()
