"""Text to numbers and back: the only place that knows what people write for a length.

Text is read to an exact fraction and becomes a float once, at the end, so ``3/32`` is 0.09375 and
``2.4 mm`` is the float nearest to 2.4/25.4. A fraction always means inches. Text in inches, thou
or no unit never imports pint; anything else is converted by a pint registry of our few units.
"""

from rivetkit.quantities.parse import (
    parse_force_lbf,
    parse_length_in,
    parse_mass_lb,
    parse_number,
    parse_stress_ksi,
    parse_temperature_degf,
)
from rivetkit.quantities.read import shown
from rivetkit.quantities.show import format_length, nearest_fraction_text
from rivetkit.quantities.units import G_PER_LB_EXACT, MM_PER_IN_EXACT, from_unit, to_unit
from rivetkit.quantities.wording import (
    error_in_unit,
    joined_words,
    length_words,
    words_changed,
    words_in_unit,
    words_of,
)

__all__ = [
    "G_PER_LB_EXACT",
    "MM_PER_IN_EXACT",
    "error_in_unit",
    "format_length",
    "from_unit",
    "joined_words",
    "length_words",
    "nearest_fraction_text",
    "parse_force_lbf",
    "parse_length_in",
    "parse_mass_lb",
    "parse_number",
    "parse_stress_ksi",
    "parse_temperature_degf",
    "shown",
    "to_unit",
    "words_changed",
    "words_in_unit",
    "words_of",
]
