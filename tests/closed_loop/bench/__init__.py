"""A bench that the program does not know: boards simulated with faults of their own, and a person who measures them.

The program's suspects come from its own list of faults, so rehearsals that draw from that list cannot see what it lacks.
Here a board is simulated element by element (`board`, `behaviour`, `solved`, `nodal`), a fault is a `change` of that circuit
(`faults`), a person looks and measures, not always rightly (`person`), and the program is asked what is wrong through its
own words (`loop`, `program`). Nothing here takes anything from `tracer.suspects`, `tracer.levels` or `tracer.stage` but
`program`, which is the door to what is judged.

``python -m tests.closed_loop.bench --loops 350 --seed 1`` prints the figures.
"""
