"""Coatings on metal by name, and those that hold zinc, cadmium or lead.

A coating is told by its trade name, its abbreviation or its standard. What is sold with zinc on it (conduit, fence
posts) stands here too, since it is the zinc that counts near a flame. Standards: A123, A153, A653, UL 797, UL 6 and
UL 1242 read in the pages of galvanizers and tube makers; the rest from memory.
"""

from __future__ import annotations

from typing import NamedTuple

from specc.model.values import Basis


class Coating(NamedTuple):
    """What a surface is covered with. `steel` is true when the name also says that there is steel under it, `over`
    when it often goes over zinc, so that it does not tell that there is none."""

    title: str
    names: tuple[str, ...]
    zinc: bool = False
    cadmium: bool = False
    lead: bool = False
    steel: bool = False
    over: bool = False
    basis: Basis = "memory"


def _n(text: str) -> tuple[str, ...]:
    return tuple(name.strip() for name in text.split(","))


COATINGS = (
    Coating(
        "hot-dip zinc",
        _n(
            "hot dip zinc, hot dip galvanized, hot dipped galvanized, hot dip galv, hot dipped, hot dip, hdg, hdgi, "
            "galv, galvd, galvanized, galvanize, galvanizing, gi, dipped, zinc coated, zinc coating, pregalv, pre "
            "galv, pre galvanized, mech galv, a123, a153, iso 1461, g60, g90, g115, z100, z140, z180, z200, z275, "
            "z350, a653, en10346, g3302, sgcc, sgch, sghc, dx51d, dx52d, dx53d, dx54d, s220gd, s250gd, s280gd, "
            "s320gd, s350gd"
        ),
        zinc=True,
        steel=True,
        basis="read",
    ),
    Coating("galvannealed", _n("galvannealed, galvanneal, a60, zf"), zinc=True, steel=True, basis="read"),
    Coating(
        "55 % aluminum-zinc",
        _n(
            "55 % al zn, 55 al zn, al zn, aluminum zinc, aluminum zinc coated, zinc aluminum, zincalume, zincalum, "
            "galvalume, aluzinc, az50, az55, az150, az 50, az 55, az 150, az185, gl, a792, zam, galfan, 55 percent "
            "al zn, 55 percent aluminum zinc, 55 % aluminum zinc, sglcc, g3321, zn al mg, zinc aluminum magnesium, "
            "zm120, zm250, zm310"
        ),
        zinc=True,
        steel=True,
    ),
    Coating(
        "electroplated zinc",
        _n(
            "zinc plated, zinc plating, zinc plate, zn plated, zn plating, zn plate, zn, zp, bzp, bright zinc, "
            "bright zinc plated, zinc, electro zinc, electrogalvanized, electro galvanized, eg, ez, zyd, zinc "
            "yellow dichromate, yellow zinc, clear zinc, yellow chromate, blue chromate, clear chromate, zinc "
            "chromate, clear zinc chromate, yellow zinc chromate, yellow zinc plated, clear zinc plated, yellow "
            "dichromate, dichromate, zinced, zinc nickel, secc, g3313, b633, iso 2081, f1941"
        ),
        zinc=True,
    ),
    Coating(
        "mechanically plated zinc",
        _n("mechanically galvanized, mechanical zinc, mechanical galv, peen plated, b695"),
        zinc=True,
    ),
    Coating("sherardized", _n("sherardized, thermal diffusion zinc, a1059, iso 17668"), zinc=True),
    Coating("zinc flake", _n("zinc flake, dacromet, geomet, f1136, iso 10683"), zinc=True),
    Coating(
        "zinc-rich paint or sprayed zinc",
        _n(
            "zinc rich paint, zinc paint, zinc primer, zinc rich primer, cold galv, cold galvanized, cold "
            "galvanizing, cold galvanizing paint, cold galvanizing compound, weldable zinc primer, sprayed zinc, "
            "flame sprayed zinc, metallized zinc, zinc metallized, zinc spray, tsz, thermal sprayed zinc, iso 2063"
        ),
        zinc=True,
    ),
    Coating(
        "electrical metallic tubing",
        _n(
            "emt, emt conduit, electrical metallic tubing, thinwall, thinwall conduit, thin wall conduit, ul 797, c80.3"
        ),
        zinc=True,
        steel=True,
        basis="read",
    ),
    Coating(
        "conduit",
        _n(
            "conduit, rmc, grc, rsc, grs, rigid conduit, rigid metal conduit, rigid steel conduit, electrical "
            "conduit, ul 6, c80.1"
        ),
        zinc=True,
        steel=True,
        basis="read",
    ),
    Coating(
        "intermediate metal conduit",
        _n("imc, intermediate metal conduit, ul 1242, c80.6"),
        zinc=True,
        steel=True,
        basis="read",
    ),
    Coating(
        "fence pipe",
        _n("fence pipe, fence post, fence rail, chain link, chainlink, top rail, f1043, f1083"),
        zinc=True,
        steel=True,
    ),
    Coating(
        "strut channel",
        _n(
            "unistrut, strut channel, strut, perforated strapping, perforated strap, plumbers strap, plumbers tape "
            "strap, hanger strap"
        ),
        zinc=True,
        steel=True,
    ),
    Coating(
        "baling or tie wire",
        _n("baling wire, bailing wire, tie wire, rebar tie wire, chicken wire, hardware cloth, poultry netting"),
        zinc=True,
        steel=True,
    ),
    Coating(
        "cadmium",
        _n(
            "cadmium plated, cadmium plating, cad plated, cad plating, cd plated, cd plating, cd, cad, cadmium, "
            "yellow cad, qq p 416, b766"
        ),
        cadmium=True,
    ),
    Coating("terne", _n("terne, terneplate, terne coated, a308, lead coated"), lead=True),
    Coating(
        "lead",
        _n("lead, lead plated, lead paint, leaded paint, red lead, red lead paint, red lead primer, minium"),
        lead=True,
    ),
    # Not zinc.
    Coating("none", _n("none, uncoated, bare, bare metal, no coating, raw, mill finish")),
    Coating(
        "paint",
        _n(
            "paint, painted, stove paint, enamel, high temperature paint, high temp paint, lacquer, lacquered, "
            "varnish, oiled, waxed, powder, powder coated, powder coating, powder coat, clear coat, clearcoat, "
            "copper effect, brass effect, bronze effect, aluminum paint, copper paint, bronze paint, silver paint, "
            "gold paint, pvdf"
        ),
        over=True,
    ),
    Coating("porcelain enamel", _n("porcelain enamel, vitreous enamel, enameled")),
    Coating("aluminized", _n("aluminized, hot dip aluminized, a463, aluminum coated, aluminum plated"), steel=True),
    Coating("tin", _n("tinned, tin, tin plated, tin plate, tinplate, tin coated")),
    Coating("nickel", _n("nickel plated, nickel plating, electroless nickel, nickel, ni plated")),
    Coating("chrome", _n("chrome plated, chromed, chrome, hard chrome, chromium plated")),
    Coating(
        "black oxide or phosphate",
        _n("black oxide, blued, bluing, phosphate, phosphated, parkerized, anodized"),
    ),
    # Of stainless steel its own skin; of steel it is what zinc is dipped in.
    Coating("passivated", _n("passivated, passivate, passivation"), over=True),
    Coating(
        "plastic",
        _n("plastic, plastic coated, pvc coated, vinyl coated, rubber coated, ptfe coated, ptfe lined, rubber lined"),
        over=True,
    ),
    Coating(
        "copper plating",
        _n(
            "copper plated, copper plating, copper plate, copper coated, copper clad, copperclad, copper "
            "washed, copper flashed, copper flash, copper finish, copper dipped, coppered, copper "
            "colored, copper color, copper look, copper tone, copper cladding"
        ),
    ),
    Coating(
        "brass or bronze plating",
        _n(
            "brass plated, brass plating, brass coated, bronze plated, antique brass, brass finish, "
            "bronze finish, brass look, bronze look"
        ),
        zinc=True,
    ),
    Coating("silver or gold plating", _n("silver plated, gold plated, gilded")),
)

# The plain values of coating: in a spec; any other name above is read too.
OF_KEY = {
    "none": "none",
    "zinc": "hot-dip zinc",
    "paint": "paint",
    "powder": "paint",
    "nickel": "nickel",
    "chrome": "chrome",
    "tin": "tin",
    "plastic": "plastic",
}
BY_TITLE = {c.title: c for c in COATINGS}
# A metal that is named where a coating is asked for is one, whatever else stands beside it ("zinc, passivated").
OF_METAL = {
    "zinc": BY_TITLE["electroplated zinc"],
    "cadmium": BY_TITLE["cadmium"],
    "lead": BY_TITLE["lead"],
    "copper alloy": BY_TITLE["brass or bronze plating"],
}
