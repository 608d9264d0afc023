"""A law of every result: the arithmetic it shows, worked out by hand, comes to what it says."""

import shlex
from dataclasses import replace

import pytest
from formulas import reckoned, see_that_it_adds_up
from test_cli_contract import FAILING, GOOD
from test_cli_examples import CHECKOUT, examples

from rivetkit.calculators.limits import Working
from rivetkit.calculators.order import SparesPolicy, order_quantity
from rivetkit.calculators.oversize.substitution import check_not_weaker
from rivetkit.checks import Check, Term, make_check
from rivetkit.cli.app import exit_code_of
from rivetkit.fasteners.part_number import parse_part_number
from rivetkit.rules import RuleBook

#: What the worked examples of the help leave out.
MORE = [
    "spacing MS20470AD4 --edge 1/4 --override edge_distance_min_protruding 7mm 'sheet 2'",
    "spacing MS20470AD4 --edge 1/4 --pitch 1 --rule-set amt",
    "strength MS20470AD4 .032:2024-T3 .040:2024-T3 --pitch .5 --compression '20 ksi'",
    "strength MS20426AD4 .063:2024-T3:countersunk .040:6061-T6 --pitch 3 --compression yield",
    "strength NAS9301B-4 .032:2024-T3 .040:2024-T3 --edge .2",
    "strength MS20470AD4 .02:2024-T3 .040:2024-T3 .02:2024-T3 --edge .25 --double-shear --pitch 1",
    "oversize NAS9301B-4 --hole .13x.14 --edge-in-layer a=.3 --pitch 1",
    "oversize IFI114-30-4-2 --hole .131x.14 --edge-in-layer a=.3 --pitch 1",
]


@pytest.fixture
def made(monkeypatch):
    """Return the list of every check and line of arithmetic from here on."""
    found = {}
    for kind in (Check, Working):

        def noted(self, *args, real=kind.__init__, **fields):
            real(self, *args, **fields)
            if self.template and self.value is not None:
                found[self] = None

        monkeypatch.setattr(kind, "__init__", noted)
    return found


EXAMPLES = [shlex.split(line, comments=True)[1:] for _, line in examples()]
EVERY = [*GOOD, *FAILING, *map(shlex.split, MORE), *EXAMPLES]
LINES = [line for line in EVERY if not {"|", ">", "<"} & set(line)]


@pytest.mark.parametrize("arguments", LINES, ids=" ".join)
def test_what_is_shown_adds_up(arguments, made, monkeypatch, capsys):
    monkeypatch.chdir(CHECKOUT)
    assert exit_code_of(arguments) in {0, 1}, capsys.readouterr().err
    for shown in made:
        see_that_it_adds_up(shown)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("IFI114-30-4-2", "IFI114-10-5-2"),
        ("NAS9301B-4", "NAS9301B-5"),
        ("MS20470AD4", "MS20470AD5"),
        ("MS20470D4", "MS20470AD5"),
    ],
)
def test_one_rivet_held_to_another_adds_up(old, new):
    check = check_not_weaker(parse_part_number(old), parse_part_number(new), RuleBook.named())

    see_that_it_adds_up(check)


@pytest.mark.parametrize("net", [1, 7, 93])
@pytest.mark.parametrize("policy", [SparesPolicy(15, 2, 100), SparesPolicy(2.5, 3)], ids=str)
def test_an_order_adds_up(net, policy):
    line = order_quantity(net, policy)
    told = {"spares": line.spares, "order": line.order}

    assert len(line.working) == len(told)
    for shown in line.working:
        name, *sums = shown.split(" = ")
        assert [reckoned(one) for one in sums] == [told[name]] * 3, shown


@pytest.mark.parametrize("changes", [{"value": 0.251}, {"limit": 0.251}, {"comparison": "at most"}])
def test_a_sum_that_does_not_add_up_is_seen(changes):
    terms = (Term("e", 0.25), Term("k", 2.0), Term("D", 0.125))
    right = make_check(
        "edge", 0.25, 0.25, unit="in", comparison="at least", citations=(),
        template="{e} >= {k} x {D}", terms=terms,
    )  # fmt: skip
    see_that_it_adds_up(right)
    with pytest.raises(AssertionError):
        see_that_it_adds_up(replace(right, **changes))
