module board (red);
  output red;
  wire n1;
  \74LS273 U9 (.\2 (red), .\3 (n1);
endmodule
