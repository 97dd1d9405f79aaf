module part (a, b);
  input a, b;
endmodule
