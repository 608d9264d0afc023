"""All tables there are. Adding a table ends here: its class is named in ``TABLES``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.handbook.rows.drills import (
    DrillSizeRow,
)
from rivetkit.handbook.rows.fasteners import (
    BlindGripRow,
    BlindStrengthRow,
    FastenerDimensionRow,
    FastenerStandardRow,
    HeadMarkRow,
    NutplateBodyRow,
    NutplateRow,
    OversizeRivetRow,
    RivetHandlingRow,
    RivetMaterialRow,
    RivetShearLoadRow,
    RivetShearStressRow,
    ScrewHoleRow,
)
from rivetkit.handbook.rows.holes import (
    RivetHoleRow,
)
from rivetkit.handbook.rows.materials import (
    DensityRow,
    MetalGroupRow,
    SheetAlloyRow,
    SheetGaugeRow,
    SheetMetalRow,
    StockSheetRow,
    ThermalExpansionRow,
)
from rivetkit.handbook.rows.practice import (
    CountersinkMinimumRow,
    DrivenHeadRow,
    MetalContactRow,
    PinPunchRow,
    RemovalRow,
    RuleChoiceRow,
    RuleRow,
)
from rivetkit.handbook.rows.strength import (
    ElasticModulusRow,
    FlushJointRow,
    FormulaRow,
    GaugeTwinRow,
    InterRivetFixityRow,
    RivetsPerInchRow,
    SpliceAlloyRow,
    SpliceBasisRow,
)

if TYPE_CHECKING:
    from rivetkit.handbook.load import Row

TABLES: tuple[type[Row], ...] = (
    DrillSizeRow,
    RivetHoleRow,
    FastenerStandardRow,
    FastenerDimensionRow,
    RivetMaterialRow,
    HeadMarkRow,
    RivetHandlingRow,
    BlindGripRow,
    BlindStrengthRow,
    OversizeRivetRow,
    NutplateRow,
    NutplateBodyRow,
    ScrewHoleRow,
    RivetShearStressRow,
    RivetShearLoadRow,
    DensityRow,
    ThermalExpansionRow,
    SheetGaugeRow,
    StockSheetRow,
    SheetAlloyRow,
    SheetMetalRow,
    MetalGroupRow,
    RuleRow,
    RuleChoiceRow,
    DrivenHeadRow,
    CountersinkMinimumRow,
    RemovalRow,
    PinPunchRow,
    MetalContactRow,
    RivetsPerInchRow,
    SpliceBasisRow,
    SpliceAlloyRow,
    GaugeTwinRow,
    FlushJointRow,
    InterRivetFixityRow,
    ElasticModulusRow,
    FormulaRow,
)
