module top;
  wire n;
  a A1 (.p(n));
endmodule
module a (p);
  inout p;
  b B1 (.p(p));
endmodule
module b (p);
  inout p;
  a A1 (.p(p));
endmodule
