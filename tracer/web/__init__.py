"""The program in a browser: an engine that a page asks in JSON, the folder of files that holds both, and its server."""
