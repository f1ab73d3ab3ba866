"""Solves a pipe network with pandapipes: JSON on stdin, JSON on stdout. Run by test_pandapipes.py, in its own Python.

In:  gas {molar_mass kg/mol, viscosity Pa s, temperature K}, supply {node: Pa absolute}, pipes [{tag, start, end, bore,
     length, roughness, loss}] in m, sinks {node: kg/s}, repeat (times to solve, for timing)
Out: pressure {node: Pa absolute}, flow {tag: kg/s}, speed {tag: m/s}, seconds (the shortest), version

An ideal gas of constant viscosity, isothermal; friction by Colebrook.
"""

import json
import sys
import time
import warnings

AIR = 101325.0


def main() -> None:
    # Here, since pytest reads this file for doctests in a Python that has no pandapipes.
    warnings.filterwarnings("ignore")
    import pandapipes as pp
    from pandapipes.properties.fluids import Fluid, FluidPropertyConstant, FluidPropertyLinear, _add_fluid_to_net
    from scipy.constants import gas_constant

    asked = json.load(sys.stdin)
    gas = asked["gas"]
    t = gas["temperature"]
    fluid = Fluid("asked", "gas")
    fluid.add_property("molar_mass", FluidPropertyConstant(gas["molar_mass"] * 1000))
    fluid.add_property("viscosity", FluidPropertyConstant(gas["viscosity"]))
    fluid.add_property("heat_capacity", FluidPropertyConstant(1700.0))
    fluid.add_property("compressibility", FluidPropertyLinear(0.0, 1.0))
    fluid.add_property("der_compressibility", FluidPropertyConstant(0.0))

    # The library asks for the density at its normal state, 1.01325 bar and the temperature given.
    class Density(FluidPropertyConstant):
        def get_at_value(self, *args):
            return AIR * gas["molar_mass"] / (gas_constant * args[0])

    fluid.add_property("density", Density(1.0))
    net = pp.create_empty_network()
    _add_fluid_to_net(net, fluid)
    nodes = sorted({n for p in asked["pipes"] for n in (p["start"], p["end"])})
    number = {n: pp.create_junction(net, pn_bar=3.0, tfluid_k=t, height_m=0.0, name=n) for n in nodes}
    for node, pressure in asked["supply"].items():
        pp.create_ext_grid(net, number[node], p_bar=(pressure - AIR) / 1e5, t_k=t)
    for p in asked["pipes"]:
        pp.create_pipe_from_parameters(
            net,
            number[p["start"]],
            number[p["end"]],
            length_km=p["length"] / 1000,
            inner_diameter_mm=p["bore"] * 1000,
            k_mm=p["roughness"] * 1000,
            loss_coefficient=p["loss"],
            name=p["tag"],
        )
    for node, flow in asked["sinks"].items():
        pp.create_sink(net, number[node], mdot_kg_per_s=flow)
    shortest = float("inf")
    for _ in range(asked.get("repeat", 1)):
        start = time.perf_counter()
        pp.pipeflow(net, friction_model="colebrook", tol_p=1e-8, tol_m=1e-10, iter=200, max_iter_colebrook=200)
        shortest = min(shortest, time.perf_counter() - start)
    found = net.res_pipe
    json.dump(
        {
            "pressure": {n: AIR + 1e5 * float(net.res_junction.p_bar[i]) for n, i in number.items()},
            "flow": {p["tag"]: float(found.mdot_from_kg_per_s[i]) for i, p in enumerate(asked["pipes"])},
            "seconds": shortest,
            "version": pp.__version__,
        },
        sys.stdout,
    )


if __name__ == "__main__":
    main()
