"""What a job asks of whoever does it, as one set of marks: skills by name, licenses in a form.

A skill is its own word ("electrical"). A license is ``license`` (any that is valid) or
``license:CLASS`` (one of that class), so that both can stand in one set.
"""

ANY_LICENSE = "license"


def license_mark(license_class: str) -> str:
    """The mark of a license of this class; classes differing only in case are the same."""
    return f"{ANY_LICENSE}:{license_class.strip().casefold()}"


def is_license(mark: str) -> bool:
    """Is it a license, and no skill?"""
    return mark == ANY_LICENSE or mark.startswith(f"{ANY_LICENSE}:")


def class_of(mark: str) -> str:
    """The class that a license mark asks for; empty where any will do."""
    return mark.partition(":")[2]
