"""The command line: starting things, ports, the terminal."""
