"""A row of rivets against its sheet: tear-out at an edge, the section between the holes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.calculators.limits import require_length
from rivetkit.checks import Check, Term, make_check, not_checked
from rivetkit.errors import InputError
from rivetkit.handbook import load_table
from rivetkit.handbook.rows.strength import FormulaRow
from rivetkit.materials import missing_words, shear_ultimate, tension_ultimate

if TYPE_CHECKING:
    from rivetkit.calculators.strength.joint_strength import JointStrength
    from rivetkit.calculators.strength.layer_bearing import StrengthLayer
    from rivetkit.handbook import Citation

SHEAR_OUT = "shear-out"
NET_SECTION = "net section"
EDGE_SECTION = "net section at edge"

_PSI_PER_KSI = 1000.0


def formula_citation(name: str) -> Citation:
    """Return where a strength formula comes from.

    Parameters
    ----------
    name
        As ``tables/strength/formulas.csv`` calls it.
    """
    rows: tuple[FormulaRow, ...] = load_table(FormulaRow)
    return next(row for row in rows if row.name == name and not row.refused).citation(name)


def shear_out_lbf(
    edge_in: float, *, thickness_in: float, hole_in: float, shear_ksi: float
) -> float:
    """Return the load at which a rivet tears out of a sheet to its edge [lbf].

    Parameters
    ----------
    edge_in
        Rivet centre to the edge the load points to [in].
    thickness_in
        Sheet thickness [in].
    hole_in
        Hole diameter [in].
    shear_ksi
        Ultimate shear stress of the sheet [ksi].

    Raises
    ------
    InputError
        When a length is not one.

    Examples
    --------
    >>> round(shear_out_lbf(0.25, thickness_in=0.032, hole_in=0.1285, shear_ksi=39), 1)
    463.6

    References
    ----------
    Common practice, no source; recalled: 2 t Fsu (e - D/2).
    """
    require_length(edge_in, "the edge distance", zero_allowed=True)
    require_length(thickness_in, "the sheet thickness")
    require_length(hole_in, "the hole")
    land_in = max(0.0, edge_in - hole_in / 2)
    return 2 * thickness_in * shear_ksi * _PSI_PER_KSI * land_in


def net_section_lbf(
    width_in: float, *, thickness_in: float, hole_in: float, tension_ksi: float, holes: int = 1
) -> float:
    """Return the load at which a strip of sheet breaks through its holes [lbf].

    Parameters
    ----------
    width_in
        Width of the strip [in]: the pitch, for one hole of a row.
    thickness_in
        Sheet thickness [in].
    hole_in
        Hole diameter [in].
    tension_ksi
        Ultimate tensile stress of the sheet [ksi].
    holes
        Holes across the strip.

    Raises
    ------
    InputError
        When a length is not one, or there is no hole.

    Examples
    --------
    >>> round(net_section_lbf(1.0, thickness_in=0.032, hole_in=0.1285, tension_ksi=63))
    1757
    """
    require_length(width_in, "the width of the strip")
    require_length(thickness_in, "the sheet thickness")
    require_length(hole_in, "the hole")
    if holes < 1:
        raise InputError(f"a strip with {holes} holes", mend="give 1 or more")
    return tension_ksi * _PSI_PER_KSI * thickness_in * max(0.0, width_in - holes * hole_in)


def row_lbf_per_in(joint: JointStrength, *, pitch_in: float, rows: int) -> float | None:
    """Return what the rivets of a seam carry [lbf per inch]; None where a joint's load is unknown.

    Parameters
    ----------
    joint
        One rivet's joint.
    pitch_in
        Rivet to rivet in a row [in].
    rows
        Rows in the seam.

    Raises
    ------
    InputError
        When the pitch is no length, or there is no row.
    """
    require_length(pitch_in, "the pitch")
    _require_rows(rows)
    return None if joint.allowable_lbf is None else rows * joint.allowable_lbf / pitch_in


def check_shear_out(joint: JointStrength, layer: StrengthLayer, *, share: float = 1.0) -> Check:
    """Return the check that a layer does not tear out to its edge before the joint gives way.

    Parameters
    ----------
    joint
        The joint; it pushes no harder than ``at_most_lbf``.
    layer
        The layer, with its edge distance.
    share
        The part of the load that goes through the layer.

    References
    ----------
    Common practice, no source; recalled: 2 t Fsu (e - D/2), with the edge across the load. The
    bearing stresses at 1.5 D and 2 D come from tests that held the edge as well, so this is a
    second, lower look at it.
    """
    stress = shear_ultimate(layer.alloy, layer.thickness_in)
    cited = (formula_citation("shear-out"),)
    if layer.edge_in is None:
        reason = "no edge distance was given for this layer"
        return not_checked(SHEAR_OUT, reason, where=layer.name, citations=cited)
    if stress is None:
        reason = missing_words("shear", layer.alloy, layer.thickness_in)
        return not_checked(SHEAR_OUT, reason, where=layer.name, citations=cited)
    if joint.at_most_lbf is None:
        reason = "no load is known to hold it against"
        return not_checked(SHEAR_OUT, reason, where=layer.name, citations=cited)
    load_lbf = shear_out_lbf(
        layer.edge_in,
        thickness_in=layer.thickness_in,
        hole_in=joint.hole_in,
        shear_ksi=stress.value_ksi,
    )
    limit_lbf = joint.at_most_lbf * share
    return make_check(
        SHEAR_OUT,
        load_lbf,
        limit_lbf,
        unit="lbf",
        comparison="at least",
        citations=(*cited, stress.citation),
        template="2 x {t} x {Fsu} x ({e} - {d}/2) >= {P}",
        terms=(
            Term("t", layer.thickness_in, "inch"),
            Term("Fsu", stress.value_ksi * _PSI_PER_KSI, "psi"),
            Term("e", layer.edge_in, "inch"),
            Term("d", joint.hole_in, "inch"),
            Term("P", limit_lbf, "lbf"),
        ),
        where=layer.name,
    )


def check_net_section(
    joint: JointStrength,
    layer: StrengthLayer,
    *,
    pitch_in: float,
    rows: int = 1,
    share: float = 1.0,
    at_edge: bool = False,
) -> Check:
    """Return the check that the sheet between the holes carries what the rivets put into it.

    Parameters
    ----------
    joint
        The joint; it pushes no harder than ``at_most_lbf``.
    layer
        The layer.
    pitch_in
        Rivet to rivet in a row across the load [in].
    rows
        Rows that load the strip one after the other.
    share
        The part of the load that goes through the layer.
    at_edge
        Take the strip at the end of the row: half a pitch and the edge distance.

    Raises
    ------
    InputError
        When the pitch is no length, or there is no row.

    References
    ----------
    Builders' and engineers' forums: tensile stress times net area, for edges along the load.
    """
    require_length(pitch_in, "the pitch")
    _require_rows(rows)
    name = EDGE_SECTION if at_edge else NET_SECTION
    stress = tension_ultimate(layer.alloy, layer.thickness_in)
    cited = (formula_citation("net-section"),)
    reason = ""
    if stress is None:
        reason = missing_words("tension", layer.alloy, layer.thickness_in)
    elif joint.at_most_lbf is None:
        reason = "no load is known to hold it against"
    elif at_edge and layer.edge_in is None:
        reason = "no edge distance was given for this layer"
    if stress is None or joint.at_most_lbf is None or reason:
        return not_checked(name, reason, where=layer.name, citations=cited)
    width_in = pitch_in / 2 + (layer.edge_in or 0.0) if at_edge else pitch_in
    load_lbf = net_section_lbf(
        width_in,
        thickness_in=layer.thickness_in,
        hole_in=joint.hole_in,
        tension_ksi=stress.value_ksi,
    )
    limit_lbf = rows * joint.at_most_lbf * share
    terms = (
        Term("Ftu", stress.value_ksi * _PSI_PER_KSI, "psi"),
        Term("t", layer.thickness_in, "inch"),
        Term("w", width_in, "inch"),
        Term("d", joint.hole_in, "inch"),
        Term("rows", rows),
        Term("P", joint.at_most_lbf * share, "lbf"),
    )
    return make_check(
        name,
        load_lbf,
        limit_lbf,
        unit="lbf",
        comparison="at least",
        citations=(*cited, stress.citation),
        template="{Ftu} x {t} x ({w} - {d}) >= {rows} x {P}",
        terms=terms,
        where=layer.name,
    )


def _require_rows(rows: int) -> None:
    if rows < 1:
        raise InputError(f"a seam of {rows} rows", mend="give 1 or more")
