"""Equation texts: the tree, the printed line, the line with values in it, and the value."""

from __future__ import annotations

import ast
import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specc.formulas import equation_tree as eq
from specc.formulas.equations import plain, substitute
from specc.formulas.evaluating import evaluate
from specc.model.values import CHOICE, Answer, CaseValue, Constant, Equation, Figure, Quantity, Symbol, Worked

CHOKED = "w = C*pi*d**2/4*p*sqrt(k*M/(Z*R*T))*(2/(k+1))**((k+1)/(2*(k-1)))"


def equation(text: str, *symbols: Symbol, constants: tuple[tuple[str, Constant], ...] = ()) -> Equation:
    return Equation((("", text),), symbols, (CHOICE,), constants=constants)


def ratio(value: float, text: str = "") -> Quantity:
    return Quantity(value, "ratio", text or str(value))


def worked(made: Equation, also: tuple[tuple[str, float], ...] = (), **inputs: object) -> Worked:
    return Worked(0.0, "ratio", made, tuple(inputs.items()), also=also)  # type: ignore[arg-type]


# ---------------------------------------------------------------- the tree


def test_tree_has_fractions_roots_and_powers() -> None:
    result, tree = eq.parse("w = a*b**2/4 - sqrt(x)")
    assert result == "w"
    assert isinstance(tree, eq.Sum)
    first, second = tree.terms
    assert isinstance(first, eq.Quotient)
    assert isinstance(first.above, eq.Product)
    assert isinstance(first.above.factors[1], eq.Power)
    assert isinstance(second, eq.Negative)
    assert isinstance(second.of, eq.Root)


@pytest.mark.parametrize(
    ("symbol", "base", "subscript"),
    [
        ("p", "p", ""),
        ("p_0", "p", "0"),
        ("Delta_p", "Δp", ""),
        ("Delta_T_max", "ΔT", "max"),
        ("eta_c", "η", "c"),
        ("Delta_theta", "Δθ", ""),
        ("lamda", "λ", ""),
        ("A_t_1", "A", "t_1"),
        ("Delta", "Δ", ""),
    ],
)
def test_names_have_base_and_subscript(symbol: str, base: str, subscript: str) -> None:
    assert tuple(eq.name(symbol)) == (symbol, base, subscript)


def test_symbols_are_listed_once_and_without_pi() -> None:
    assert eq.symbols(eq.parse(CHOKED)[1]) == ("C", "d", "p", "k", "M", "Z", "R", "T")


@pytest.mark.parametrize(
    "text",
    [
        "w",
        "w = ",
        "w == a",
        "w = a = b",
        "w = a; v = b",
        "w, v = a",
        "w.x = a",
        "w = a.b",
        "w = a[0]",
        "w = open('x')",
        "w = __import__('os')",
        "w = (lambda: 1)()",
        "w = [a for a in b]",
        "w = a if b else c",
        "w = a // b",
        "w = a % b",
        "w = a and b",
        "w = a < b",
        "w = +a",
        "w = ~a",
        "w = True",
        "w = 'a'",
        "w = 2j",
        "w = 0x1e",
        "w = 1_000",
        "w = 1e999",
        "w = " + "9" * 400,
        "w = sqrt()",
        "w = sqrt(a, b)",
        "w = max(*a)",
        "w = sum(a, start=b)",
        "w = sin(a)",
        "w = a\0",
        "w = " + "(" * 240 + "a" + ")" * 240,
        "w = " + "-" * 300 + "a",
        "w = " + "a+" * 1000 + "a",
    ],
)
def test_what_is_no_equation_is_refused(text: str) -> None:
    with pytest.raises(ValueError) as caught:
        eq.parse(text)
    assert not isinstance(caught.value, eq.NotEvaluable)


# ---------------------------------------------------------------- in one line


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (CHOKED, "C·π·d²/4·p·√(k·M/(Z·R·T))·(2/(k + 1))^((k + 1)/(2·(k − 1)))"),
        ("x = a*(b*c)", "a·b·c"),
        ("x = a+(b+c)", "a + b + c"),
        ("x = a-(b-c)", "a − (b − c)"),
        ("x = a/(b*c)", "a/(b·c)"),
        ("x = a/b/c", "a/b/c"),
        ("x = a/(b/c)", "a/(b/c)"),
        ("x = (a+b)*c", "(a + b)·c"),
        ("x = -a*b", "−a·b"),
        ("x = a*-b", "a·(−b)"),
        ("x = -a**2", "−a²"),
        ("x = (-a)**2", "(−a)²"),
        ("x = (a**b)**2", "(a^(b))²"),
        ("x = a**-1", "a⁻¹"),
        ("x = a**-k", "a^(−k)"),
        ("x = a**0.5", "a^(0.5)"),
        ("x = a**12", "a¹²"),
        ("x = --a", "−(−a)"),
        ("x = a + -b", "a − b"),
        ("x = -(a+b)/c", "−(a + b)/c"),
        ("x = max(a, b+c)*abs(d)", "max(a, b + c)·abs(d)"),
        ("x = sum(L_e)", "sum(L_e)"),
        ("x = exp(-Delta_p/rho)", "exp(−Δp/ρ)"),
        ("x = a/1e-3", "a/(1·10⁻³)"),
        ("x = 1.5e3", "1.5·10³"),
    ],
)
def test_plain_text(text: str, line: str) -> None:
    assert plain(eq.parse(text)[1]) == line


_LETTERS = ("a", "b", "c_1")
_BACK = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")


def back(line: str) -> str:
    """A printed line as a Python expression again."""
    made = ""
    raised = False
    for sign in line:
        small = sign in "⁰¹²³⁴⁵⁶⁷⁸⁹⁻"
        if small != raised:
            made += "**(" if small else ")"
            raised = small
        made += sign.translate(_BACK)
    made += ")" if raised else ""
    return made.replace("·", "*").replace("−", "-").replace("√", "math.sqrt").replace("^", "**")


def _expressions() -> st.SearchStrategy[str]:
    atoms = st.sampled_from([*_LETTERS, "2", "3", "0.5", "1e1", "pi"])

    def grow(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
        pairs = st.tuples(inner, st.sampled_from(["+", "-", "*", "/", "**"]), inner)
        return st.one_of(
            pairs.map(lambda p: f"({p[0]}){p[1]}({p[2]})"),
            pairs.map("".join),
            inner.map(lambda x: f"-{x}"),
            inner.map(lambda x: f"sqrt(abs({x}))"),
            st.tuples(inner, inner).map(lambda p: f"max({p[0]}, {p[1]})"),
        )

    return st.recursive(atoms, grow, max_leaves=9).filter(lambda t: len(t) < 300)


VALUES = {"a": 1.25, "b": 0.75, "c_1": 2.5}


def by_python(text: str) -> float | None:
    """What Python itself makes of an expression; None where it has no finite real value.

    Python keeps whole numbers whole; a float for each number keeps it from towers of digits. And `fabs`
    takes no complex number, as what went through one is not real here.
    """

    class Floats(ast.NodeTransformer):
        def visit_Constant(self, node: ast.Constant) -> ast.Constant:
            return ast.copy_location(ast.Constant(float(node.value)), node)  # type: ignore[arg-type]

    tree = ast.fix_missing_locations(Floats().visit(ast.parse(text, mode="eval")))
    names = {**VALUES, "pi": math.pi, "π": math.pi, "math": math, "sqrt": math.sqrt}
    try:
        value = eval(compile(tree, "test", "eval"), {"__builtins__": {"abs": math.fabs, "max": max}}, names)
    except (ArithmeticError, ValueError, TypeError):
        return None
    return value if isinstance(value, float) and math.isfinite(value) else None


@given(_expressions())
def test_value_and_printed_line_agree_with_python(text: str) -> None:
    made = equation(f"x = {text}")
    with_values = worked(made, **{k: ratio(v) for k, v in VALUES.items()})
    expected = by_python(text)
    try:
        value = evaluate(made, with_values)
    except ValueError:
        assert expected is None
        return
    assert expected is not None
    # Where terms cancel, another order of adding leaves another rounding.
    close = pytest.approx(expected, rel=1e-6, abs=1e-9)
    assert value == close
    line = plain(eq.parse(f"x = {text}")[1])
    assert by_python(back(line)) == close, line


@given(_expressions())
def test_line_has_no_parentheses_to_spare(text: str) -> None:
    """Taking out any pair of parentheses that only groups changes the tree or breaks the text."""
    line = plain(eq.parse(f"x = {text}")[1])
    for start, sign in enumerate(line):
        if sign != "(" or (start and (line[start - 1] in "√^" or line[start - 1].isalnum())):
            continue  # a root's, an exponent's or a call's own
        if line[start + 1] == "−":
            continue  # Python reads "a*-b", but people write "a·(−b)"
        depths = itertools.accumulate((c == "(") - (c == ")") for c in line[start:])
        end = start + next(n for n, depth in enumerate(depths) if depth == 0)
        bare = back(line[:start] + line[start + 1 : end] + line[end + 1 :])
        try:
            other = plain(eq.parse("x = " + bare.replace("math.", "").replace("π", "pi"))[1])
        except ValueError:
            continue
        assert other != line


# ---------------------------------------------------------------- with values

R_GAS = Constant(8.314, "molar_heat", "8.314 J/(mol·K)", CHOICE)


def test_choked_flow_is_evaluated_as_by_hand() -> None:
    made = equation(CHOKED, constants=(("R", R_GAS),))
    values = {"C": 0.8, "d": 0.001, "p": 3e5, "k": 1.13, "M": 0.0441, "T": 290.0}
    got = evaluate(made, worked(made, also=(("Z", 0.95),), **{k: ratio(v) for k, v in values.items()}))
    area = math.pi * 0.001**2 / 4
    root = math.sqrt(1.13 * 0.0441 / (0.95 * 8.314 * 290.0))
    assert got == pytest.approx(0.8 * area * 3e5 * root * (2 / 2.13) ** (2.13 / 0.26), rel=1e-12)


def test_values_stand_in_as_written() -> None:
    made = equation(
        "w = C*pi*d**2/4*p/sqrt(R*T)",
        Symbol("T", "temperature", "temperature"),
        constants=(("R", R_GAS),),
    )
    line = substitute(
        made,
        worked(
            made,
            also=(("T", 294.2611),),
            C=ratio(0.8, "0.80"),
            d=Quantity(0.0010541, "length", "0.0415 in"),
            p=Quantity(2e5, "gauge_pressure", "30 psi ± 2 psi"),
        ),
    )
    assert line == "0.80·π·(0.0415 in)²/4·(30 psi ± 2 psi)/√((8.314 J/(mol·K))·(70 °F))"


def test_figures_and_worked_values_are_printed_in_their_units() -> None:
    inner = Worked(0.00252, "mass_flow", equation("w = a"), ())
    case = CaseValue("", inner._replace(si=35168.5))
    figure = Figure("f", "F", "power", "kW", 2, (case,), 0, "max", "p", "1")
    made = equation("x = Q/w - Q/1")
    assert substitute(made, worked(made, Q=figure, w=inner)) == "(35 kW)/(20 lb/h) − (35 kW)/1"
    assert evaluate(made, worked(made, Q=figure, w=inner)) == pytest.approx(35168.5 / 0.00252 - 35168.5)


def _lengths(*feet: float) -> tuple[Quantity, ...]:
    return tuple(Quantity(n * 0.3048, "length", f"{n:g} ft") for n in feet)


@pytest.mark.parametrize(
    ("feet", "line"),
    [
        ((1, 2), "2·(1 ft + 2 ft)"),
        ((1, 2, 3, 4), "2·(1 ft + 2 ft + 3 ft + 4 ft)"),
        ((1, 2, 3, 4, 5), "2·(1 ft + 2 ft + … + 5 ft)"),
        ((1,), "2·(1 ft)"),
        ((), "2·0"),
    ],
)
def test_sums_print_their_terms(feet: tuple[float, ...], line: str) -> None:
    made = equation("L = 2*sum(l)")
    assert substitute(made, worked(made, l=_lengths(*feet))) == line
    assert evaluate(made, worked(made, l=_lengths(*feet))) == pytest.approx(2 * sum(feet) * 0.3048)


def test_sum_of_an_expression_goes_over_its_values() -> None:
    made = equation("L = sum(n*l) + max(l) - min(l)")
    inputs = {"n": (ratio(2.0, "2"), ratio(3.0, "3")), "l": _lengths(1, 4)}
    assert substitute(made, worked(made, **inputs)) == ("(2·(1 ft) + 3·(4 ft)) + max(1 ft, 4 ft) − min(1 ft, 4 ft)")
    assert evaluate(made, worked(made, **inputs)) == pytest.approx((14 + 4 - 1) * 0.3048)


def test_single_value_under_sum_is_itself() -> None:
    made = equation("L = sum(l)")
    one = Quantity(0.3048, "length", "1 ft")
    assert substitute(made, worked(made, l=one)) == "1 ft"
    assert evaluate(made, worked(made, l=one)) == 0.3048


def test_sign_of_a_value_is_kept_together() -> None:
    made = equation("x = a - b")
    low = Quantity(-1.0, "temperature_difference", "-1 K")
    assert substitute(made, worked(made, a=low, b=low)) == "(-1 K) − (-1 K)"


def test_regime_picks_the_form() -> None:
    made = Equation((("low", "x = a"), ("high", "x = 2*a")), (), (CHOICE,))
    answer = Answer(2.0, regime="high")
    case = worked(made, a=ratio(1.0))._replace(regime=answer.regime)
    assert evaluate(made, case) == answer.value
    assert substitute(made, case) == "2·1.0"


def test_words_are_not_evaluated() -> None:
    made = equation("~ solved for the flow at which both ends agree")
    with pytest.raises(eq.NotEvaluable):
        evaluate(made, worked(made))
    assert substitute(made, worked(made)) == "solved for the flow at which both ends agree"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("x = q", "no value for 'q'"),
        ("x = l", "several values"),
        ("x = sum(l*m)", "different numbers"),
        ("x = a/(a-a)", "cannot be evaluated"),
        ("x = sqrt(-a)", "the root of"),
        ("x = log(a-a)", "the logarithm of"),
        ("x = (-a)**0.5", "broken power"),
        ("x = 9**9**9", "cannot be evaluated"),
        ("x = exp(9999)", "cannot be evaluated"),
        ("x = max(none)", "of no values"),
        ("x = 1e300*1e300", "gives inf"),
    ],
)
def test_evaluation_says_what_is_wrong(text: str, says: str) -> None:
    made = equation(text)
    case = worked(made, a=ratio(1.0), l=_lengths(1, 2), m=_lengths(1, 2, 3), none=())
    with pytest.raises(ValueError, match=says):
        evaluate(made, case)
