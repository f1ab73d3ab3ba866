"""The schema: every kind of fault is said, at its file, line and column, with what fix."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from specc.engine.road import Ask, composed_schema, travel
from specc.model.findings import Finding, Place
from specc.model.view import Bad
from specc.spec import judge as judging
from specc.spec.judge import judge
from specc.spec.schema import compose, core, faults_in
from specc.testing import patched, project

SAMPLE = Path(__file__).parent / "samples" / "garden.yaml"
TEXT = SAMPLE.read_text(encoding="utf-8")


def one(tmp_path: Path, *patches: tuple[str, str]) -> Finding:
    """The one fault that the schema finds in the sample with patches."""
    spec = project(tmp_path, TEXT, *patches)
    found = [f for f in travel(str(spec)).findings if f.rule.startswith("spec.")]
    assert len(found) == 1, found
    assert found[0].level == "error"
    return found[0]


def spot(path: Path, marked: str) -> Place:
    """Where a piece of text, which stands there once, begins."""
    text = path.read_text(encoding="utf-8")
    assert text.count(marked) == 1
    before = text[: text.index(marked)]
    return Place(str(path), before.count("\n") + 1, len(before) - before.rfind("\n"))


# what is wrong: old text, new text, where in the new file (text that begins there), rule, says, fix
FAULTS: dict[str, tuple[str, str, str, str, str, str]] = {
    "unknown key, near a known one": (
        "      length: 15 ft",
        "      lenght: 9 ft\n      length: 15 ft",
        "lenght",
        "spec.unknown_key",
        "'lenght'",
        "'length'",
    ),
    "unknown key, near none": (
        "      length: 15 ft",
        "      zzz: 9 ft\n      length: 15 ft",
        "zzz",
        "spec.unknown_key",
        "'zzz'",
        "bore, ",
    ),
    "unknown root": ("limits:\n", "efects: {}\nlimits:\n", "efects", "spec.unknown_key", "'efects'", "'effects'"),
    "key of another kind of part": (
        "      bore: 3/8 in",
        "      capacity: 20 g\n      bore: 3/8 in",
        "capacity: 20 g",
        "spec.unknown_key",
        "'capacity'",
        "bore",
    ),
    "wrong dimension": ("length: 15 ft", "length: 15 psi", "15 psi", "spec.quantity", "a length is wanted", "ft"),
    "gauge for absolute": (
        "set: 10 psi",
        "set: 10 psia",
        "10 psia",
        "spec.quantity",
        "psia is an absolute pressure",
        "psi",
    ),
    "bare number": ("length: 15 ft", "length: 15", "15\n      rating: 350", "spec.quantity", "15", "ft"),
    "negative length": ("length: 15 ft", "length: -15 ft", "-15 ft", "spec.quantity", "-15 ft", ""),
    "two readings": ("length: 15 ft", "length: 11/2 in", "11/2 in", "spec.quantity", "11/2", "5 1/2"),
    "no quantity": (
        "length: 15 ft",
        "length: long",
        "long\n      rating: 350",
        "spec.quantity",
        "a length is wanted",
        "ft",
    ),
    "a list for a quantity": ("length: 15 ft", "length: [15 ft]", "[15 ft]", "spec.quantity", "a list", "ft"),
    "markup for a quantity": (
        "length: 15 ft",
        "length: <img src=x>",
        "<img src=x>",
        "spec.quantity",
        "<img src=x>",
        "ft",
    ),
    "missing key of a part": ("      length: 15 ft\n", "", "kind: hose", "spec.missing_key", "'length'", "length:"),
    "missing root": ("format: 1\n\n", "", "project:", "spec.missing_key", "'format'", "format: 1"),
    "unknown kind of part": ("kind: hose", "kind: hoze", "hoze", "spec.value", "'hoze'", "'hose'"),
    "unknown form": ("form: ball", "form: bal", "bal\n", "spec.value", "'bal'", "'ball'"),
    "another format": ("format: 1", "format: 2", "2\n\nproject", "spec.value", "2", "1"),
    "bad date": ("[2027-06-19]", "[2027-06-31]", "2027-06-31", "spec.value", "2027-06-31", "year-month-day"),
    "bad time": ('"20:00"', '"25:00"', '"25:00"', "spec.value", "25:00", "hours:minutes"),
    "text where a list is due": ("[2027-06-19]", "2027-06-19", "2027-06-19", "spec.value", "2027-06-19", "a list"),
    "number where text is due": (
        "name: Midsummer Garden Night",
        "name: 12.5",
        "12.5\n",
        "spec.value",
        "12.5",
        '"12.5"',
    ),
    "truth where text is due": ("name: Midsummer Garden Night", "name: TRUE", "TRUE", "spec.value", "true", '"true"'),
    "nothing where text is due": (
        "site: lower lawn, behind the long hedge",
        "site:",
        "\n  dates",
        "spec.value",
        "empty",
        "text",
    ),
    "mapping where a list is due": (
        "outlets: [ring]",
        "outlets: {a: ring}",
        "{a: ring}",
        "spec.value",
        "a mapping",
        "a list",
    ),
    "list where a mapping is due": (
        'hours: {from: "20:00", to: "23:30"}',
        "hours: [a]",
        "[a]",
        "spec.value",
        "a list",
        "mapping",
    ),
    "empty list": ("outlets: [ring]", "outlets: []", "[]", "spec.value", "too short", "at least 1"),
    "twice in a list": ("outlets: [ring]", "outlets: [ring, ring]", "[ring, ring]", "spec.value", "twice", "once"),
    "too long": ("title: Garden Brazier", "title: " + "a" * 201, "a" * 201, "spec.value", "too long", "200"),
    "id with a slash": (
        "id: garden_brazier",
        "id: garden/brazier",
        "garden/brazier",
        "spec.value",
        "garden/brazier",
        "letters",
    ),
}


@pytest.mark.parametrize("what", FAULTS)
def test_each_fault_has_its_place_and_what_would_be_right(tmp_path: Path, what: str) -> None:
    old, new, marked, rule, says, right = FAULTS[what]
    found = one(tmp_path, (old, new))
    assert found.rule == rule
    assert says in found.message
    assert right in found.fix
    if what != "nothing where text is due":  # an empty value has no text; its key's line is enough
        assert found.place == spot(tmp_path / "project.yaml", marked)
    else:
        assert found.place.line == spot(tmp_path / "project.yaml", "site:").line


def test_all_faults_are_found_at_once(tmp_path: Path) -> None:
    spec = project(
        tmp_path,
        TEXT,
        ("length: 15 ft", "length: 15 psi"),
        ("form: ball", "form: bal"),
        ("site: lower", "sight: lower"),
        ("  elevation: 420 ft\n", ""),
    )
    found = [f.rule for f in travel(str(spec)).findings if f.rule.startswith("spec.")]
    assert sorted(found) == ["spec.missing_key", "spec.quantity", "spec.unknown_key", "spec.value"]


MARKUP = ("<img src='/etc/passwd'>", "<b>bold", "a & b", "&amp;", "</para>", "{{x}}", "%s", "\\u003cb\\u003e")
NAMES = ("Ωμέγα", "Žofie Ďábelská", "火の輪", "حلقة", "Ёлка", "ñ́", "🔥")


@pytest.mark.parametrize("text", [*MARKUP, *NAMES])
def test_text_of_any_script_or_look_is_taken_as_it_is(tmp_path: Path, text: str) -> None:
    quoted = json.dumps(text, ensure_ascii=False)
    spec = project(tmp_path, TEXT, ("title: Garden Brazier", f"title: {quoted}"))
    result = travel(str(spec))
    assert (result.findings, result.title) == ((), text)


@pytest.mark.parametrize("tag", ["火の輪", "Ďábel", "a b", "a/b", "a~b", "<b>"])
def test_a_tag_of_any_script_is_pointed_to(tmp_path: Path, tag: str) -> None:
    spec = project(tmp_path, TEXT, ("    h1:", f"    {tag}:"), ("length: 15 ft", "length: 15 psi"))
    found = next(f for f in travel(str(spec)).findings if f.rule == "spec.quantity")
    assert found.place == spot(spec, "15 psi")


def test_columns_count_characters(tmp_path: Path) -> None:
    spec = project(tmp_path, TEXT, ("{title: Late garden,", "{title: 火の輪, lasst: 1 h,"))
    found = next(f for f in travel(str(spec)).findings if f.rule == "spec.unknown_key")
    assert found.place == spot(spec, "lasst")


def test_a_renamed_key_tells_the_exact_edit() -> None:
    schema = compose(
        {
            "club": {
                "type": "object",
                "additionalProperties": False,
                "properties": {"length": {"x-dimension": "length"}},
                "x-renamed": {"run": ["length", "0.2"]},
            }
        }
    )
    (refusal,) = (r for r in judge(schema, {"club": {"run": "5 ft"}}).refusals if r.at.startswith("/club"))
    assert (refusal.rule, refusal.at) == ("spec.unknown_key", "/club/run")
    assert "length:" in refusal.fix
    assert "run:" in refusal.fix
    assert "0.2" in refusal.fix


@pytest.mark.parametrize(
    ("schema", "says"),
    [
        ({"type": "objekt"}, "objekt"),
        ({"x-dimension": "weight"}, "weight"),
        ({"properties": {"a": {"items": {"x-written": "year"}}}}, "year"),
        ({"x-choose": {"by": "kind"}}, "x-choose"),
        ({"x-choose": {"by": "kind", "from": {"a": {"type": 5}}}}, "5"),
        ({"$ref": "common/nothing"}, "nothing"),
        ({"$ref": "http://example.invalid/a.json"}, "$ref"),
        ({"pattern": "("}, ""),
        ({"x-renamed": {"a": "b"}}, "x-renamed"),
        ({"x-renamed": {"a": ["b", "0.2"]}}, "x-renamed"),
        ({"enum": ["a"], "x-renamed-values": {"a": ["a", "0.2"]}}, "x-renamed-values"),
        ({"anyOf": [{"x-dimension": "length"}, {"type": "string"}]}, "x-dimension cannot stand inside"),
        ({"properties": {"a": {"if": {"properties": {"b": {"x-dimension": "length"}}}}}}, "x-dimension cannot"),
        ({"patternProperties": {"a.*": {"x-private": True}}}, "x-private cannot stand inside"),
        ({"prefixItems": [{"$ref": "common/joint"}]}, "a $ref cannot stand inside"),
    ],
)
def test_a_schema_that_could_not_judge_is_refused(schema: dict[str, Any], says: str) -> None:
    fault = faults_in(schema)
    assert fault
    assert says in fault


def test_each_measured_value_is_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []
    parse = judging.parse
    monkeypatch.setattr(
        judging, "parse", lambda value, dim, at, **how: (read.append(at), parse(value, dim, at, **how))[1]
    )
    part = {"type": "object", "properties": {"long": {"x-dimension": "length", "x-most": 3}}}
    schema = {"properties": {"a": part, "b": {"type": "array", "items": part}}}
    judged = judge(schema, {"a": {"long": "5 ft"}, "b": [{"long": "6 m"}, {"long": "wide"}, {}]})
    assert read == ["/a/long", "/b/0/long", "/b/1/long"]
    assert [(r.rule, r.at) for r in judged.refusals] == [("spec.quantity", at) for at in read[1:]]
    assert judged.data["a"]["long"].text == "5 ft"
    assert [type(one.get("long")) for one in judged.data["b"]] == [Bad, Bad, type(None)]


@pytest.mark.parametrize(
    ("dim", "written", "said"),
    [
        ("mass_flow", "-1 lb/s", "-1 lb/s is less than zero"),
        ("pressure_difference", "-5 psi", "-5 psi is less than zero"),
        ("ratio", "-5", "-5 is less than zero"),
        ("current", "-2 mA", "-2 mA is less than zero"),
        ("current", "2 mA ± 3 mA", "2 mA ± 3 mA with its tolerance is less than zero"),
        ("current", "0 mA", ""),
        ("angle", "-5 deg", ""),
    ],
)
def test_a_field_is_not_below_zero_where_its_meaning_says_which_way(dim: str, written: str, said: str) -> None:
    assert [r.message for r in judge({"properties": {"a": {"x-dimension": dim}}}, {"a": written}).refusals] == (
        [said] if said else []
    )
    assert not judge({"properties": {"a": {"x-dimension": dim, "x-signed": True}}}, {"a": written}).refusals


def test_what_is_refused_inside_any_of_is_bad_where_it_stands() -> None:
    schema = {"properties": {"a": {"allOf": [{"properties": {"b": {"type": "string"}}, "required": ["c"]}]}}}
    judged = judge(schema, {"a": {"b": 5}})
    assert {(r.rule, r.at) for r in judged.refusals} == {("spec.value", "/a/b"), ("spec.missing_key", "/a/c")}
    assert isinstance(judged.data["a"]["b"], Bad)
    assert judged.missing == {"/a/c"}


def test_the_cores_own_schema_is_sound() -> None:
    assert faults_in({k: v for k, v in core().items() if k != "$schema"}) == ""


# Whatever stands in a spec, judging it gives refusals and never raises

SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=12),
    st.sampled_from(["5 ft", "10 psi", "2027-06-19", "20:00", "steady", "hose", "1 h ± 5 min"]),
)
KEYS = st.one_of(
    st.text(max_size=6),
    st.sampled_from(
        [
            "project",
            "event",
            "plumbing",
            "parts",
            "runs",
            "kind",
            "limits",
            "waivers",
            "show",
            "scenes",
            "plugins",
            "use",
            "replace",
            "effects",
            "weather",
            "air",
            "low",
            "title",
            "dates",
            "from",
            "line",
            "value",
            "who",
        ]
    ),
)
TREES = st.recursive(
    SCALARS, lambda s: st.one_of(st.lists(s, max_size=4), st.dictionaries(KEYS, s, max_size=5)), max_leaves=25
)


@settings(max_examples=150, deadline=None)
@given(st.dictionaries(KEYS, TREES, max_size=6))
def test_judging_never_raises(data: dict[str, Any]) -> None:
    judged = judge(composed_schema(), data)
    for refusal in judged.refusals:
        assert refusal.message
        assert refusal.rule.startswith("spec.")


LINES = TEXT.splitlines(keepends=True)
SHORT = [line.strip().split(":")[0] for line in LINES if ":" in line and not line.startswith("#")]


@st.composite
def mutated(draw: st.DrawFn) -> str:
    """The sample with a few lines dropped, doubled, moved, indented or with other text in them."""
    lines = list(LINES)
    for _ in range(draw(st.integers(1, 6))):
        i = draw(st.integers(0, len(lines) - 1))
        how = draw(st.sampled_from(["drop", "double", "swap", "indent", "value", "key", "cut", "insert"]))
        key, colon, rest = lines[i].partition(":")
        if how == "drop" and len(lines) > 1:
            del lines[i]
        elif how == "double":
            lines.insert(i, lines[i])
        elif how == "swap":
            j = draw(st.integers(0, len(lines) - 1))
            lines[i], lines[j] = lines[j], lines[i]
        elif how == "indent":
            lines[i] = "  " + lines[i]
        elif how == "value" and colon:
            new = draw(
                st.sampled_from(
                    [
                        "5",
                        "-1 ft",
                        "0 in",
                        "[a]",
                        "{a: b}",
                        "",
                        "true",
                        "1e300 ft",
                        "999999 psi",
                        "0.5 in ± 0.6 in",
                        "<b>",
                        "ring",
                        "tank_a",
                        "1000 h",
                        "5 degF",
                        "120 degF",
                        "steady",
                        "burst",
                        "tee",
                        "0",
                        "2027-01-01",
                    ]
                )
            )
            lines[i] = f"{key}: {new}\n"
        elif how == "key" and colon:
            indent = key[: len(key) - len(key.lstrip())]
            lines[i] = f"{indent}{draw(st.sampled_from(SHORT))}:{rest}"
        elif how == "cut":
            lines[i] = lines[i][: draw(st.integers(0, len(lines[i])))] + "\n"
        else:
            lines.insert(i, draw(st.text(max_size=20)) + "\n")
    return "".join(lines)


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(mutated())
def test_no_mutation_of_the_sample_raises_or_blames_a_plugin(tmp_path: Path, text: str) -> None:
    spec = tmp_path / "project.yaml"
    spec.write_text(text, encoding="utf-8", errors="replace")
    from specc.engine.road import COMPILE

    result = travel(str(spec), None, Ask(kinds=COMPILE, tolerance=True))
    assert not [f for f in result.findings if f.rule.startswith("plugin.") and f.rule != "plugin.absent"]
    assert result.exit_code in (0, 1, 2)
    assert (result.exit_code == 0) == (result.errors == 0)


def test_patches_have_to_fit() -> None:
    with pytest.raises(ValueError, match="0 times"):
        patched("a: b", ("c", "d"))
    with pytest.raises(ValueError, match="2 times"):
        patched("a: a", ("a", "d"))
