"""LAW: keeps entries, understands none. Append only; nothing is changed or removed. No Flask, no
domain, no engineering."""
