module board;
  wire [999999:0] d;
endmodule
