"""The keys of what a command prints as JSON, which programs go by."""


def keys_in(numbers, where=""):
    """The keys of an object and of those in it, in their order."""
    found = {where: " ".join(numbers)}
    for key, value in numbers.items():
        inner = value[0] if isinstance(value, list) and value else value
        if isinstance(inner, dict):
            found |= keys_in(inner, f"{where}.{key}".lstrip("."))
    return found
