// The runtime runs here.
