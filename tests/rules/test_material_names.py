"""Materials, coatings, tube standards and grades as people write them, against what they are."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, all_but, checked, project, status_of
from specc_materials.coatings import COATINGS, OF_KEY
from specc_materials.joined import says_gas
from specc_materials.made import _hint
from specc_materials.reading import Reading, read, read_coating, words
from specc_materials.stuffs import BLOCKS, STUFFS, by_uns
from specc_materials.tubes import BY_NUMBER, GRADES, STANDARDS

GOOD = Path(__file__).with_name("materials.yaml")
OTHERS = all_but("plumbing", "fuel", "materials")
TUBE = "      grade: L\n      standard: ASTM B88\n      rating: 125 psi\n      material: copper\n"


def zinc(text: str) -> bool:
    reading = read(text)
    return any(c.zinc for c in reading.coatings) or reading.of("zinc")


@pytest.mark.parametrize("text", ["steel coated with copper", "copper-plated steel", "steel with copper plating"])
def test_steel_with_copper_on_it_is_not_copper(text: str) -> None:
    assert read(text).of("steel")
    assert not read(text).of("copper")


def test_a_frame_with_copper_parts_is_of_copper_too() -> None:
    assert read("steel frame with copper stems").of("copper")


def test_a_question_mark_is_a_doubt() -> None:
    assert read("304 stainless?").unknown == ("?",)


@pytest.mark.parametrize(
    "text",
    """galvanized steel|galvanised pipe|galv|HDG|hot-dip|hot dipped galvanized|GI pipe|Zn plated|zinc plated bolts
    zinc plating over steel|steel, zinc|steel with a zinc coating|G90 sheet|Z275|galvannealed|A653 sheet|ASTM A123
    55 % Al-Zn|55% Al-Zn coated steel|AZ55|BZP|electro-galvanized|yellow chromate|zinc flake|sherardized
    cold galv|zinc-rich paint|EMT|1/2 in EMT|conduit|rigid conduit|IMC|UL 797|fence post|chain-link rail
    tie wire|baling wire|die-cast|die cast zinc|pot metal|Zamak 3|mazak|white metal|ZA-8|UNS Z33520|Z35541
    black iron, galvanized|brass plated steel|cold galvanizing paint|unistrut|pre-galvanized tube|thinwall|GRS|SGCC
    JIS G3302|SECC|DX51D|EN 10346 DX51D+Z275|S250GD+Z|ZM310|Zn-Al-Mg|55 percent aluminum-zinc|perforated strap
    zinced steel|yellow dichromate|steel, clear zinc chromate|mech galv|metallized zinc|flame-sprayed zinc
    bronze dipped steel|spelter|slush cast|die casting|ZnAl4|ZP0400|AG40A""".replace("\n", "|").split("|"),
)
def test_zinc_by_any_name(text: str) -> None:
    assert zinc(text.strip()), read(text)


@pytest.mark.parametrize(
    "text",
    """steel|black steel|stainless steel|copper|steel, not galvanized|un-galvanized steel|zinc-free paint on steel
    no zinc, steel|aluminized steel|tinned steel|steel, nickel plated|steel, chrome plated|black oxide
    A380 die cast aluminum|die-cast aluminum|aluminum die casting|powder coated steel""".replace("\n", "|").split("|"),
)
def test_what_has_no_zinc_on_it(text: str) -> None:
    assert not zinc(text.strip()), read(text)
    assert read(text).unknown == ()


@pytest.mark.parametrize(
    ("text", "family"),
    [
        *((t, "copper") for t in ("copper", "Cu-DHP", "C12200", "UNS C 12200", "Cu-ETP", "C11000", "ASTM B88", "B 280",
                                  "ASTM B75", "EN 1057", "annealed copper", "ACR tube", "line set", "CW024A",
                                  "C122", "C110", "C1220T", "SF-Cu", "EN 12735", "AS 1432", "BS 2871", "copper coil")),
        *((t, "aluminum") for t in ("aluminium", "6061-T6", "6063", "alloy 5052", "A356", "A380 die cast", "A96061",
                                    "ADC12", "3003 sheet", "EN AW-6082", "die-cast aluminum", "6061T6", "7075-T651",
                                    "AlMgSi0.5", "LM25", "t-slot extrusion")),
        *((t, "stainless") for t in ("304", "316L", "S30400", "1.4301", "18-8", "SS", "CF8M", "inox", "AISI 304",
                                     "SUS304", "SUS 316L", "1.4404", "316Ti", "V2A", "s/s", "A182 F316", "A312 TP304")),
        *((t, "steel") for t in ("A53", "ASTM A106 B", "black iron", "mild steel", "copper-brazed steel tube", "1018",
                                 "St37", "S235JR", "SS400", "A106B", "EN 10255", "JIS G3452 SGP", "DOM tubing", "12L14",
                                 "leaded steel")),
        *((t, "copper alloy") for t in ("C36000", "CZ121", "manganese bronze", "nickel silver", "low-fuming bronze",
                                        "85-5-5-5", "B43", "CW617N", "cast bronze", "C360", "C464", "DZR", "DZR brass",
                                        "CuZn39Pb3", "C3604BD", "2.0401", "leaded brass", "aluminum brass", "SAE 660",
                                        "tombac", "low lead brass", "nickel aluminum bronze", "CuNi brake line")),
        *((t, "lead") for t in ("lead", "sheet lead", "Pb")),
        *((t, "mineral") for t in ("stone wool", "rock wool", "glass wool")),
        *((t, "stainless") for t in ("AL-6XN", "254 SMO")),
        *((t, "other metal") for t in ("Hastelloy C276", "hastelloy C-22")),
        *((t, "cast iron") for t in ("cast iron", "grey iron", "A126")),
        *((t, "iron") for t in ("malleable iron", "black malleable iron", "ductile cast iron", "malleable cast iron")),
        *((t, "plastic") for t in ("PVC", "HDPE pipe", "nylon", "PTFE")),
    ],
)  # fmt: skip
def test_materials_by_any_name(text: str, family: str) -> None:
    reading = read(text)
    assert reading.of(family), reading  # type: ignore[arg-type]
    others = {s.family for s in reading.stuffs} | {s.family for s in reading.standards}
    assert others in ({family}, set())  # by its grade alone
    assert reading.unknown == ()


@pytest.mark.parametrize(
    "text",
    [
        "copper plated steel",
        "copper-clad steel",
        "steel with copper plating",
        "steel, coppered",
        "steel, copper washed",
    ],
)
def test_a_plating_of_copper_is_not_copper(text: str) -> None:
    assert not read(text).of("copper")
    assert read(text).of("steel")


@pytest.mark.parametrize("text", ["steel, Cd plated", "Cd-plated steel", "cad plating on steel"])
def test_cadmium_by_its_sign(text: str) -> None:
    assert any(c.cadmium for c in read(text).coatings)


def test_a_tag_that_names_a_metal_is_asked() -> None:
    assert _hint(read("steel"), "emt_post", "")
    assert _hint(read("steel"), "zamak_1", "")
    assert not _hint(read("steel"), "gl_1", "")
    assert not _hint(read("EMT"), "emt_post", "")


def test_a_plating_on_no_list_is_asked() -> None:
    assert read("steel, titanium coated").unknown == ("titanium",)


@pytest.mark.parametrize("text", ["L copper", "K-copper tube", "copper L", "type L copper", "hard copper tube L"])
def test_a_grade_of_copper_on_either_side(text: str) -> None:
    assert read(text).grades == (("K",) if "K" in text else ("L",))


def test_a_length_is_no_alloy() -> None:
    assert read("steel pipe, 304 mm") == read("steel pipe")
    assert read("304 in sheet").of("stainless")


@pytest.mark.parametrize(
    ("text", "least"),
    # Zinc as the foundries' tables and the alloy index print it, in %.
    [("C86300", 22), ("C86400", 34), ("C87500", 12), ("C26000", 28), ("C36000", 35), ("C85200", 20), ("bronze", 34),
     ("silicon bronze", 12), ("commercial bronze", 10), ("C38500", 38), ("brass", 35),
     ("C464", 38), ("DZR", 34), ("CuZn40Pb2", 38), ("CW614N", 38), ("aluminum brass", 20), ("admiralty brass", 26)],
)  # fmt: skip
def test_bronzes_and_brasses_rich_in_zinc(text: str, least: float) -> None:
    (alloy,) = read(text).stuffs
    assert 100 * alloy.zinc >= least


@pytest.mark.parametrize("text", ["phosphor bronze", "C51000", "C95400", "tin bronze", "C65500", "C83600"])
def test_bronzes_with_little_zinc(text: str) -> None:
    (alloy,) = read(text).stuffs
    assert alloy.zinc < 0.10


@pytest.mark.parametrize("text", ["wonderium", "steel, wonderium coat", "C99999X", "mystery metal", "Q12345", "metal"])
def test_what_is_on_no_list_is_not_known(text: str) -> None:
    reading = read(text)
    assert reading.unknown or not (reading.stuffs or reading.standards)


# What a key coating: may say. A metal there is on the thing, whatever goes over it.
HIDDEN = {
    "zinc": """zinc, passivated|zinc then powder|zinc under paint|Zn, then painted|zinc + powder coat|paint over zinc
    powder over galvanized|zinc phosphate|none, zinc bolts|bare, zinc welds|black oxide over zinc|nickel over zinc
    electroless nickel over zamak|HDG + paint|G90 painted|no paint and zinc plated|no lacquer and galvanised|Zn/Ni
    brass, lacquered""",
    "cadmium": "cadmium, painted|cad plated and waxed|paint over cadmium",
    "lead": "lead, painted|lead paint|leaded paint|red lead|red lead primer|tin-lead|tinned with lead solder|terne",
}


@pytest.mark.parametrize(("metal", "text"), [(m, t.strip()) for m, some in HIDDEN.items()
                                             for t in some.replace("\n", "|").split("|")])  # fmt: skip
def test_what_goes_over_a_metal_does_not_hide_it(metal: str, text: str) -> None:
    assert any(getattr(c, metal) for c in read_coating(text).coatings), read_coating(text)


@pytest.mark.parametrize("text", """yellow|black|primer|unknown|n/a|no|none known|rust|mill scale|oil|duplex|PPGI
    prepainted|pregalvanized|zincked|galvinized|Magni|Zintec|satincoat|trivalent chromate|ceramic coat|color coated
    some coating|as delivered|pending""".replace("\n", "|").split("|"))  # fmt: skip
def test_a_coating_on_no_list_is_asked(text: str) -> None:
    assert read_coating(text.strip()).unknown, read_coating(text.strip())


def test_denials_reach_over_or_and_not_over_and() -> None:
    assert not zinc("steel, no zinc or cadmium")
    assert zinc("steel, no lacquer and galvanized")
    assert zinc("sun-bleached galvanized steel")


def test_wire_rope_is_of_metal() -> None:
    assert not read("steel wire rope").of("fabric")
    assert read("manila rope").of("fabric")


@pytest.mark.parametrize(
    "text",
    """galvinized steel|zinked steel|bonderized steel|plated steel, Magni|cooper tube
    CuZn99|CuNi10|delta brass|naval bronze|dutch metal|pewter|magnesium|AZ31|zl0400|corrugated iron
    scaffold tube|stove pipe|sign post|stock tank|flashing|duct|weld-through primer on steel|pinchbeck|oilite|SAE 841
    water tube|SCH40 BLK|ally|white metel|stainles steel|brass or similar|copper, probably""".replace("\n", "|").split(
        "|"
    ),
)
def test_names_on_no_list_and_slips_of_the_pen_are_asked(text: str) -> None:
    assert read(text.strip()).unknown, read(text.strip())


@pytest.mark.parametrize(
    "text", ["metal", "alloy", "yellow metal", "grade 8 bolt", "T-post", "wire mesh", "bright plated"]
)
def test_words_that_name_no_metal_leave_it_asked(text: str) -> None:
    reading = read(text)
    assert reading._replace(unknown=()) == Reading()


def test_lists_are_sound() -> None:
    names = [words(n) for s in STUFFS for n in s.names]
    assert len(names) == len(set(names)), sorted(n for n in names if names.count(n) > 1)
    coats = [words(n) for c in COATINGS for n in c.names]
    assert len(coats) == len(set(coats)), sorted(n for n in coats if coats.count(n) > 1)
    numbers = [u for s in STUFFS for u in s.uns]
    assert len(numbers) == len(set(numbers))
    assert all(by_uns(u) is s for s in STUFFS for u in s.uns)
    # A row's own number lies in a block of its family, so that a number without a row is read alike.
    for s in STUFFS:
        for u in s.uns:
            blocks = [b for b in BLOCKS if b.first <= u <= b.last]
            assert [b.stuff.family for b in blocks] == [s.family], u
            if s.family == "copper alloy":
                assert blocks[0].stuff.zinc >= s.zinc, u
    assert all(read_coating(key).coatings for key in OF_KEY)
    assert {g for s in STANDARDS for g in s.grades} - {"GAS"} <= set(GRADES)
    assert {n for n, g in GRADES.items() if g.gas} == {"K", "L", "ACR", "G"}
    assert len(BY_NUMBER) == len(STANDARDS)


# What the rules make of it


def outcome(tmp_path: Path, rule: str, *patches: Patch) -> str:
    return status_of(project(tmp_path, GOOD, *patches), f"materials.{rule}", block=OTHERS)


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("material: copper, grade: L", "passed"),
        ("grade: L", "passed"),
        ("grade: type L", "passed"),
        ("standard: ASTM B88, grade: K", "passed"),
        ("standard: ASTM B280", "passed"),
        ("material: UNS C12200, grade: L", "passed"),
        ("material: ACR tube", "passed"),
        ("material: soft copper type L", "passed"),
        ("material: copper type M", "failed"),
        ("grade: M", "failed"),
        ("standard: ASTM B306", "failed"),
        ("material: DWV copper", "failed"),
        ("material: copper type M, grade: L", "failed"),
        ("material: copper", "not checked"),
        ("standard: ASTM B837, material: copper", "not checked"),
        ("material: wonderium", "not checked"),
        ("material: copper-plated steel, coating: tin", "not applicable"),
        ("material: copper type L or M", "failed"),
        ("material: copper, grade: M (red print)", "failed"),
        ("material: copper, grade: drainage", "not checked"),  # a word that is no grade
        ("material: copper, grade: L, title: type M tube", "not checked"),
    ],
)
def test_copper_is_told_by_grade_standard_number_or_name(tmp_path: Path, said: str, wanted: str) -> None:
    lines = "".join(f"      {pair}\n" for pair in said.split(", "))
    wall = "      outside: 0.5 in\n      wall: 0.035 in\n"
    spec = ((TUBE, lines + "      rating: 125 psi\n"), (wall, "      outside: 0.5 in\n      wall: 0.049 in\n"))
    got = outcome(tmp_path, "copper_grade", *spec)
    assert got.partition(",")[0] == wanted


def test_a_copper_manifold_is_asked_how_it_is_put_together(tmp_path: Path) -> None:
    asked = (
        "form: adapter\n      rating: 300 psi\n      material: aluminum",
        "form: manifold\n      rating: 300 psi\n      material: copper",
    )
    assert outcome(tmp_path, "brazed_copper_open", asked) == "not checked"


BURNER = "      material: copper\n      jets"


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("material: steel, coating: none", "passed"),
        ("material: steel", "not checked"),
        ("material: steel, coating: paint", "not checked"),  # what paint hides
        ("material: painted steel", "not checked"),
        ("material: steel, coating: passivated", "not checked"),  # zinc is passivated, and so is stainless steel
        ("material: stainless steel, coating: passivated", "passed"),
        ("material: steel, coating: 'paint, no zinc'", "passed"),
        ("material: steel, coating: 'zinc, passivated'", "failed"),
        ("material: steel, coating: powder over zinc", "failed"),
        ("material: steel, coating: red lead", "failed"),
    ],
)
def test_zinc_under_another_coat_does_not_hide_at_a_burner(tmp_path: Path, said: str, wanted: str) -> None:
    lines = "".join(f"      {pair}\n" for pair in said.split(", ", 1))
    assert outcome(tmp_path, "burner_metal", (BURNER, f"{lines}      jets")) == wanted


@pytest.mark.parametrize("standard", ["not B280", "ASTM B280?", "B280 or similar", "B280 pending"])
def test_a_standard_that_is_denied_or_doubted_is_none(tmp_path: Path, standard: str) -> None:
    said = f"      standard: {standard}\n      rating: 125 psi\n      material: copper\n"
    wall = ("      wall: 0.035 in\n", "      wall: 0.049 in\n")
    assert outcome(tmp_path, "copper_grade", (TUBE, said), wall) == "not checked"


@pytest.mark.parametrize(
    "filler",
    [
        "silver solder",
        "Stay-Brite",
        "hard silver 45",
        "BAg-5 or similar",
        "BAg-5?",
        "wire",
        "like BAg-7",
        "BAg-5 with phosphorus",
        "BAg-7 Cd",
    ],
)
def test_brazed_with_what_is_on_no_list_is_not_shown_to_be_no_solder(tmp_path: Path, filler: str) -> None:
    patch = ("        filler: BAg-5\n", f"        filler: {filler}\n")
    for rule in ("soft_solder", "braze_phosphorus", "braze_melts", "braze_cadmium"):
        assert outcome(tmp_path, rule, patch) == "not checked", rule


def test_a_filler_that_is_free_of_something_is_still_of_its_class(tmp_path: Path) -> None:
    for said in ("without cadmium", "free of phosphorus", "cadmium-free"):
        patch = ("        filler: BAg-5\n", f"        filler: BAg-5 {said}\n")
        assert outcome(tmp_path, "braze_phosphorus", patch) == "stated", said


def test_a_joint_whose_method_is_not_said_is_asked(tmp_path: Path) -> None:
    for rule in ("brazed_copper_open", "soft_solder", "braze_phosphorus"):
        assert outcome(tmp_path, rule, ("    j6: {between: [v1, clamp], method: flanged}\n", "")) == "not checked"


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("note: galvanized after welding", "hot-dip zinc"),
        ("title: zamak head", "zinc die casting"),
        ("title: cast aluminum head", "aluminum"),
        ("listing: steel parts cadmium plated", "cadmium"),
    ],
)
def test_a_name_or_note_that_says_another_metal_is_asked(tmp_path: Path, said: str, told: str) -> None:
    """A word in prose is no fact: it neither passes nor fails, and is asked."""
    patch = (BURNER, f"      material: steel\n      coating: none\n      {said}\n      jets")
    rules = {r.id: r for r in checked(project(tmp_path, GOOD, patch), block=OTHERS).rules}
    for rule in ("materials.burner_metal", "materials.agree"):
        assert rules[rule].status == "not checked"
        assert told in str(rules[rule])


@pytest.mark.parametrize(
    "said", ["note: not galvanized", "note: wires in conduit stand 6 ft away", "title: lead lamp", "note: see CAD"]
)
def test_a_denial_or_a_word_of_two_meanings_is_no_metal(tmp_path: Path, said: str) -> None:
    patch = (BURNER, f"      material: steel\n      coating: none\n      {said}\n      jets")
    assert outcome(tmp_path, "burner_metal", patch) == "passed"


@pytest.mark.parametrize(
    ("text", "is_for"),
    [
        ("PTFE paste for LPG", True),
        ("LP gas paste", True),
        ("paste for natural and LP gas", True),
        ("non-hardening, for propane", True),
        ("unsuitable for LPG", False),
        ("all gases but LPG", False),
        ("all gases except propane", False),
        ("don't use with LPG", False),
        ("paste which I think does LPG", False),
        ("LPG, unverified", False),
        ("should be OK for propane", False),
    ],
)
def test_what_is_for_lp_gas_says_so_and_takes_nothing_back(text: str, is_for: bool) -> None:
    assert says_gas(text) is is_for
