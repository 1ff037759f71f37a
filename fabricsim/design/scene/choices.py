"""What a scene may say about the cloth itself, about the simulation, and about what to expect of it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from fabricsim.design.scene.part import Count, Number, Part, Switch, refusal

Case = Literal["repeat", "swatch", "round"]
"""The cases a fabric is brought to rest in: endless repeats, a swatch on a table, a tube."""

STITCH_LIMIT = 40_000
"""Stitches of a whole piece that are simulated unless the scene allows more. Chosen: about 4 GB."""

# Ends are chosen, ten to a thousand times below and above what any knitting has: they keep slips of the unit and
# overflows out.
Millimetres = Annotated[Number, Field(ge=0.05, le=100)]
GramsPerArea = Annotated[Number, Field(ge=5, le=100_000)]
Newtons = Annotated[Number, Field(ge=0.01, le=100_000)]
MicronewtonMetres = Annotated[Number, Field(ge=0.001, le=1_000_000)]
Strain = Annotated[Number, Field(ge=0.01, le=10)]
PerMetre = Annotated[Number, Field(ge=-200, le=200)]  # a roll as thin as a finger; thinner ones may find no rest
Share = Annotated[Number, Field(ge=0.01, le=0.95)]
Ratio = Annotated[Number, Field(ge=1, le=10_000)]
FloatRatio = Annotated[Number, Field(ge=0.1, le=10_000)]
Poisson = Annotated[Number, Field(gt=-1, lt=1)]
# What may be expected of a fabric; chosen, far beyond what any does.
PerCent = Annotated[Number, Field(ge=-100, le=100)]
Pucker = Annotated[Number, Field(ge=0, le=1000)]


class FabricOverrides(Part):
    """Measured values of your own fabric, each used in place of the one forecast from gauge and yarn."""

    thickness_mm: Millimetres | None = Field(default=None, description="Thickness of the fabric, mm.")
    areal_mass_g_per_m2: GramsPerArea | None = Field(
        default=None, description="Weight of a square metre, floats and all, g."
    )
    stretch_across_N_per_m: Newtons | None = Field(
        default=None, description="Stiffness against a small stretch across (along the rows), N/m of width."
    )
    stretch_up_N_per_m: Newtons | None = Field(
        default=None, description="Stiffness against a small stretch up (along the columns), N/m of width."
    )
    shear_N_per_m: Newtons | None = Field(default=None, description="Stiffness against shear, N/m.")
    poisson_across: Poisson | None = Field(
        default=None,
        description="How much the fabric shortens when stretched across, as a share of the stretch.",
    )
    bending_across_uNm: MicronewtonMetres | None = Field(
        default=None, description="Stiffness against rolling up across (along the rows), micronewton metres."
    )
    bending_up_uNm: MicronewtonMetres | None = Field(
        default=None,
        description="Stiffness against rolling up lengthwise (along the columns), micronewton metres.",
    )
    twist_uNm: MicronewtonMetres | None = Field(
        default=None, description="Stiffness against twisting, micronewton metres."
    )
    lock_strain_across: Strain | None = Field(
        default=None, description="Stretch across at which the loops lock, as a fraction: 0.6 is 60 %."
    )
    lock_strain_up: Strain | None = Field(
        default=None, description="Stretch up at which the loops lock, as a fraction: 0.35 is 35 %."
    )
    lock_ratio: Ratio | None = Field(
        default=None, description="How many times stiffer the fabric is once its loops have locked."
    )
    jam_strain: Share | None = Field(
        default=None, description="Squeeze at which neighbouring stitches jam, as a fraction: 0.2 is 20 %."
    )
    jam_ratio: Ratio | None = Field(
        default=None, description="How many times stiffer the fabric is once its stitches have jammed."
    )
    float_ratio: FloatRatio | None = Field(
        default=None, description="Stiffness of a float over that of the strip of fabric it bridges."
    )
    edges: Literal["flat", "curl"] | None = Field(
        default=None,
        description="Of a flat piece: 'flat' as if pinned, ribbed or weighed there, 'curl' as stockinette does, its "
        "sides to the back and its first and last row to the face, 3 cm deep, unless edge_curl says how much. Left "
        "out: pinned flat for its numbers and for its face and back, curled where it is seen lying.",
    )
    edge_curl_across_per_m: PerMetre | None = Field(
        default=None,
        description="Curl across that the fabric wants, 1/m: positive rolls its side edges to the face.",
    )
    edge_curl_up_per_m: PerMetre | None = Field(
        default=None,
        description="Curl up that the fabric wants, 1/m: positive rolls its first and last row to the face.",
    )


class Simulation(Part):
    """Which case is brought to rest, and within what bounds."""

    case: Case | None = Field(
        default=None,
        description="'round': the whole piece as a tube. 'swatch': the whole piece flat on a table, free to draw in. "
        "'repeat': the chart endlessly repeated, far from any edge. Left out: as it is worked, 'round' in the round "
        "and 'swatch' flat.",
    )
    inside_out: Switch = Field(
        default=False, description="Knitted with the floats outside, which makes them longer ('round' only)."
    )
    stitch_limit: Count = Field(
        default=STITCH_LIMIT,
        ge=1,
        le=10**9,
        description="Refuse pieces of more stitches than this, for memory's sake.",
    )


class Expect(Part):
    """What the scene's author says will come out; the scene is then a test of itself."""

    case: Case | None = Field(
        default=None, description="The case that the ranges are for; left out: that of the scene."
    )
    draw_in_percent: tuple[PerCent, PerCent] | None = Field(
        default=None, description="Least and greatest width loss, per cent of the width without floats."
    )
    pucker_mm: tuple[Pucker, Pucker] | None = Field(
        default=None, description="Least and greatest pucker, peak to valley, mm."
    )

    @model_validator(mode="after")
    def _low_then_high(self) -> Expect:
        for name in ("draw_in_percent", "pucker_mm"):
            pair = getattr(self, name)
            if pair is not None and pair[0] > pair[1]:
                raise refusal(f"{name} = [{pair[0]:g}, {pair[1]:g}]", "least first, then greatest", "swap the two")
        return self
