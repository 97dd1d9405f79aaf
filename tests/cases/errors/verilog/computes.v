module board (red);
  output red;
  wire n1;
  reg q;
  always @(posedge n1) q <= red;
endmodule
