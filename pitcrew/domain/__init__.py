"""LAW: what the team means, as pure folds over entries and TOML text. No Flask, no disk, no
storage; the clock is passed in."""
