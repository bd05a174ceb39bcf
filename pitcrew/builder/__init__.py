"""A robot from blocks: what to ask about each, and the build sheet that the answers make."""
