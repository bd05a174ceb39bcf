"""LAW: pure functions over SI floats. No disk, no clock, no Flask, no domain, no storage. Outside
its range a formula raises."""
