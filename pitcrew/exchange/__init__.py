"""Entries between phones, laptops and hubs: exchange, bundles, frames, camera."""
