module board;
  wire [7:0] d;
  latch U1 (.q(d));
endmodule
module latch (q);
  output [3:0] q;
  R R1 (.\1 (q[0]));
endmodule
