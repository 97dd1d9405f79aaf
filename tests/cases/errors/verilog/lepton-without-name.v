module \not found  (

      );
RESISTOR R1 (
    .\1  ( GND )
    );
endmodule
