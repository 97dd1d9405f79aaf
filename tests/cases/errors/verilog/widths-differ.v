module board;
  wire [7:0] d;
  wire [3:0] q;
  assign d = q;
  R R1 (.\1 (d[0]));
endmodule
