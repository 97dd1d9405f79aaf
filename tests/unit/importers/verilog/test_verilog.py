"""Structural Verilog: which wires ports join, what legs are called, what modules become.

Names, ports, vectors and concatenations as IEEE 1364 has them (from memory); forms as Debian yosys 0.23 and Lepton EDA
1.9.18 write them.
"""

from __future__ import annotations

import pytest

from tracer.importers import parse_netlist
from tracer.netlist.board import Netlist


def read(body: str, more: str = "", head: str = "module board;") -> Netlist:
    return parse_netlist(f"{head}\n{body}\nendmodule\n{more}", "a.v", format_name="verilog")


def nets(netlist: Netlist) -> dict[str, str]:
    return {net.name: " ".join(map(str, net.pins)) for net in netlist.nets}


def test_legs_are_ports_called_by_numbers() -> None:
    netlist = read("wire \\+5V , n;\n\\74LS273 U9 (.\\20 ( \\+5V  ), .\\2 ( n ), .10(n));")
    assert nets(netlist) == {"+5V": "U9.20", "n": "U9.2 U9.10"}
    part = netlist.by_reference["U9"]
    assert (part.symbol, part.marking) == ("74LS273", "")
    assert {(p.number, p.name) for p in part.pins} == {("20", ""), ("2", ""), ("10", "")}
    assert part.origin is not None
    assert part.origin.line == 3


@pytest.mark.parametrize("form", ["p{}", "P{}", "pin{}", "pin_{}", "_{}", "p0{}", "PIN{}"])
def test_legs_are_ports_that_all_are_called_alike(form: str) -> None:
    ports = [form.format(leg) for leg in (1, 2, 3)]
    netlist = read(f"wire a; K U1 (.{ports[0]}(a), .{ports[1]}(a)); K U2 (.{ports[2]}(a));")
    assert nets(netlist) == {"a": "U1.1 U1.2 U2.3"}


def test_one_port_of_another_name_makes_all_of_them_names() -> None:
    """P0, P1 are pins of a processor's port there, not legs."""
    netlist = read("wire a; CPU U1 (.P1(a), .P2(a)); CPU U2 (.P1(a), .CLK(a)); K U3 (.p1(a), .P1(a));")
    assert nets(netlist) == {"a": "U1.P1 U1.P2 U2.CLK U2.P1 U3.P1 U3.p1"}
    assert {p.name for p in netlist.by_reference["U1"].pins} == {"P1", "P2"}


def test_vectors_parts_of_them_and_concatenations() -> None:
    netlist = read(
        "wire [3:0] a; wire [0:3] b; wire c;\n"
        "K U1 (.x(a), .y(b), .z({c, a[1:0], b[3]}), .u({2{c}}), .v(a[2]));"
    )
    assert nets(netlist) == {
        "a[0]": "U1.x[0] U1.z[1]",
        "a[1]": "U1.x[1] U1.z[2]",
        "a[2]": "U1.v U1.x[2]",
        "a[3]": "U1.x[3]",
        "b[0]": "U1.y[3]",
        "b[1]": "U1.y[2]",
        "b[2]": "U1.y[1]",
        "b[3]": "U1.y[0] U1.z[0]",
        "c": "U1.u[0] U1.u[1] U1.z[3]",
    }


def test_a_name_that_looks_like_a_bit_is_another_wire() -> None:
    netlist = read("wire [1:0] a; wire \\a[0] ; K U1 (.x(a[0]), .y(\\a[0] ));")
    assert sorted(n.pins for n in netlist.nets if n.pins) == [(("U1", "x"),), (("U1", "y"),)]
    assert [f.code for f in netlist.findings] == ["name-twins"]


def test_escaped_names_hold_anything() -> None:
    """Marks of comments, of strings and of statements; case counts."""
    netlist = read(
        'wire \\a//b , \\c;d , \\(*e , \\"f , RED, red; K U1 (.a(\\a//b ), .b(\\c;d ), .c(\\(*e ), .d(\\"f ));'
    )
    assert nets(netlist) == {
        "(*e": "U1.c",
        '"f': "U1.d",
        "RED": "",
        "a//b": "U1.a",
        "c;d": "U1.b",
        "red": "",
    }


def test_comments_attributes_and_directives_are_passed_over() -> None:
    netlist = read(
        '// wire x;\n/* K U2 (.a(b)); */ (* keep, src = "a.v:3" *) wire a; // always\n'
        'K #(.W(8), .S("x;)")) U1 ((* here *) .a(a));',
        head="`timescale 1ns / 1ps\n(* top = 1 *)\nmodule board;",
    )
    assert nets(netlist) == {"a": "U1.a"}
    assert netlist.findings == ()


def test_what_says_nothing_of_connections_is_counted() -> None:
    netlist = read(
        "parameter W = 8; wire a; defparam U1.X = 1; K U1 (.a(a));", head="`define A 1\nmodule board;"
    )
    (found,) = netlist.findings
    assert found.code == "skipped-clause"
    assert found.text.endswith(": `define x 1, defparam x 1, parameter x 1")


def test_assignments_are_other_names() -> None:
    netlist = read(
        "input [1:0] i; wire a, b; wire c = a; wire [1:0] d;\nassign b = a, d = {c, i[0]};\nK U1 (.x(b), .y(d));",
        head="module board(i);",
    )
    assert nets(netlist) == {"i[0]": "PORTS.i[0] U1.y[0]", "a": "U1.x U1.y[1]", "i[1]": "PORTS.i[1]"}


def test_constants_and_open_ports() -> None:
    """A constant is a net of its own, or names nothing where a wire is the same; x, z and nothing leave a pin alone."""
    netlist = read(
        "wire g; assign g = 1'b0;\nK U1 (.a(1'b0), .b(2'b10), .c(), .d(1'bz), .e(1'hx), .f(4'd5));"
    )
    assert nets(netlist) == {
        "1'b1": "U1.b[1] U1.f[0] U1.f[2]",
        "g": "U1.a U1.b[0] U1.f[1] U1.f[3]",
        "unconnected-(U1-Padc)": "U1.c",
        "unconnected-(U1-Padd)": "U1.d",
        "unconnected-(U1-Pade)": "U1.e",
    }


def test_the_ports_of_the_board_are_a_connector() -> None:
    netlist = read("K U1 (.a(red), .b(d[1]));", head="module board (output red, input wire [1:0] d, clk);")
    assert nets(netlist) == {
        "clk[0]": "PORTS.clk[0]",
        "clk[1]": "PORTS.clk[1]",
        "d[0]": "PORTS.d[0]",
        "d[1]": "PORTS.d[1] U1.b",
        "red": "PORTS.red U1.a",
    }
    assert netlist.by_reference["PORTS"].symbol == "Connector"


SHEETS = """
module latch (input [1:0] d, output [1:0] q);
  wire n;
  \\74LS74 U1 (.\\2 (d[1]), .\\5 (q[1]));
  gate G1 (.i(d[0]), .o(n));
  assign q[0] = n;
endmodule
module gate (i, o);
  input i; output o;
  R R1 (.\\1 (i), .\\2 (o));
endmodule
"""


def test_modules_with_something_in_them_are_sheets() -> None:
    netlist = read("wire [1:0] a, b; latch L1 (a, b); latch L2 (.d(b), .q({x, y}));", SHEETS)
    assert nets(netlist) == {
        "a[0]": "L1/G1/R1.1",
        "a[1]": "L1/U1.2",
        "b[0]": "L1/G1/R1.2 L2/G1/R1.1",
        "b[1]": "L1/U1.5 L2/U1.2",
        "x": "L2/U1.5",
        "y": "L2/G1/R1.2",
    }


def test_a_net_inside_a_sheet_is_named_after_it() -> None:
    netlist = read(
        "wire a; inner I1 (.p(a)); inner I2 (.p());",
        "module inner(p); inout p; wire n; R R1(.\\1 (p), .\\2 (n)); R R2(.\\1 (n)); endmodule",
    )
    assert nets(netlist) == {
        "a": "I1/R1.1",
        "I1/n": "I1/R1.2 I1/R2.1",
        "I2/n": "I2/R1.2 I2/R2.1",
        "I2/p": "I2/R1.1",
    }


def test_a_module_with_ports_alone_is_a_kind_of_part() -> None:
    netlist = read(
        "wire [1:0] a; wire b; ROM U1 (a, b); ROM U2 (.q(b));",
        "module ROM (input [1:0] a, output q); endmodule",
    )
    assert nets(netlist) == {"a[0]": "U1.a[0]", "a[1]": "U1.a[1]", "b": "U1.q U2.q"}
    assert [(p.number, p.kind) for p in netlist.by_reference["U2"].pins] == [
        ("a[1]", "input"),
        ("a[0]", "input"),
        ("q", "output"),
    ]


def test_ports_by_order_are_no_legs() -> None:
    netlist = read("wire a, b; \\74LS04 U1 (a, b, ), U2 (b, a);")
    assert nets(netlist) == {"a": "U1.n1 U2.n2", "b": "U1.n2 U2.n1", "unconnected-(U1-Padn3)": "U1.n3"}
    (found,) = netlist.findings
    assert (found.code, found.severity) == ("pin-order-only", "warning")
    assert "74LS04 (U1, U2)" in found.text


def test_gates_of_the_language() -> None:
    netlist = read("wire a, b, c; nand g1 (a, b, c), g2 (b, a, c);\nnot (c, a); bufif0 #3 b1 (a, b, c);")
    assert nets(netlist) == {
        "a": "b1.Y g1.Y g2.A1 not:3.A1",
        "b": "b1.A1 g1.A1 g2.Y",
        "c": "b1.A2 g1.A2 g2.A2 not:3.Y",
    }
    assert netlist.findings == ()


def test_two_instances_of_one_name_are_reported() -> None:
    netlist = read("wire a, b; K U1 (.\\1 (a)); K U1 (.\\1 (b));")
    assert [f.code for f in netlist.findings] == ["duplicate-part"]
    assert nets(netlist) == {"a": "U1.1", "b": "U1.1"}


def test_not_connected_words_join_nothing() -> None:
    netlist = read("wire NC; K U1 (.\\1 (NC), .\\2 (NC));")
    assert nets(netlist) == {"unconnected-(U1-Pad1)": "U1.1", "unconnected-(U1-Pad2)": "U1.2"}
