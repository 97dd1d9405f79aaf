module board (red);
  output red;
  wire n1;
  R R1[3:0] (.\1 (n1));
endmodule
