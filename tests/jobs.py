"""A small job that reads without a fault, and ways to break it."""

SMALL = """\
# a small job
name = "test mule"
units = "in"

[engine]
displacement = "5.7 L, catalogue"
rated_power = "250 kW, box"   # dyno day

[core]
width = 24.50            # taped twice
height = "17 in, measured"
depth = "2 in, measured"

[[fans]]
code = "A"
blade = "14 in"
free_flow = "1450 cfm, box"
run_amps = "11 A, box"

[[fans]]
code = "B"
blade = "14 in"

[[cases]]
name = "idling"
kind = "idle"

[[cases]]
name = "hill"
kind = "grade"
grade = "5 %"
"""


def changed(*swaps: tuple[str, str]) -> bytes:
    """The small job with pieces of its text replaced."""
    text = SMALL
    for old, new in swaps:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    return text.encode()
