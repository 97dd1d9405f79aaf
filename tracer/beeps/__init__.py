"""A board that nobody has drawn: what is known of it from beeps, what is still wanted, and the next touch.

Data flow one way: notes -> `bench` (every leg on a net) -> `wanted` (open ends and what was found) -> `wiring`
(the chance of each candidate leg, learned from what was found) -> `doubts` (touches to repeat) -> `next_touch`.
"""
