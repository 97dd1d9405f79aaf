"""The tracer in a browser: a folder of static files made of this checkout, and the server that shows it on this machine."""
