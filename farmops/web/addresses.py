"""Names of the farm in addresses: a space may be called 3/4, a planting "..", and has its page all the same."""


class NameInAddress:
    """A name as one step of an address.

    A slash would end the step, and a step of dots is taken by browsers for the step above: these are written with a
    tilde before a letter, and a tilde itself twice.
    """

    regex = "[^/]+"

    def to_url(self, name: object) -> str:
        text = str(name).replace("~", "~~").replace("/", "~s")
        return text.replace(".", "~d") if text.strip(".") == "" else text

    def to_python(self, step: str) -> str:
        """The name; a tilde before anything else stays what it is."""
        name, rest = "", step
        while rest:
            if rest[:2] in _WRITTEN:
                name, rest = name + _WRITTEN[rest[:2]], rest[2:]
            else:
                name, rest = name + rest[0], rest[1:]
        return name


_WRITTEN = {"~~": "~", "~s": "/", "~d": "."}
