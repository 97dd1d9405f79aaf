module board (red);
  output red;
  wire n1;
  \74LS273 (.\2 (red));
endmodule
