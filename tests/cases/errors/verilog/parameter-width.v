module board;
  parameter W = 8;
  wire [W-1:0] d;
  \74LS273 U9 (.\2 (red), .\3 (n1));
endmodule
