"""The kind of an error as the golden vectors name it."""

import re

import fallaway


def kind(error: fallaway.FallawayError) -> str:
    """`BadInput` is `bad_input`."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", "_", type(error).__name__).lower()
