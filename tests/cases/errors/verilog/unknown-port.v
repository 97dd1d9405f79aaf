module board;
  wire n;
  latch U1 (.d(n));
endmodule
module latch (q);
  output q;
endmodule
