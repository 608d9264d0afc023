"""Works out the arithmetic that a check shows, by the text a person reads."""

import math
import re


def pieces(shown):
    """Return what stands between the signs ``>= <= =`` of a formula, each piece worked out."""
    text = shown.template.format(**{term.symbol: f"({term.value!r})" for term in shown.terms})
    text = text.rsplit(": ", 1)[-1].replace(" x ", " * ").replace("^", "**")
    text = re.sub("least of (.+) and (.+)", r"min(\1, \2)", text)
    known = {"sqrt": math.sqrt, "pi": math.pi, "min": min}
    return [eval(piece, known) for piece in re.split(" >= | <= | = ", text)]  # noqa: S307
