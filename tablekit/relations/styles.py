"""Names of the styles of base, for what need not read all that is declared of each."""

CROSSED_POSTS = "crossed posts"
SPLAYED_LEGS = "splayed legs"
LEGS = {"three legs": 3, "four legs": 4}  # how many splayed legs there may be
METRIC, INCH = SIZES = ("metric", "inch")  # whose usual sizes are assumed


def sizes_option(sizes: str) -> dict[str, str]:
    """The option as a network has it: only where it is not the metric one."""
    return {} if sizes == METRIC else {"sizes": sizes}
