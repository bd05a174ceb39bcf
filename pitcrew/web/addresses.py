"""The addresses at which phones on the same network reach this laptop."""

LOOPBACK = ("localhost", "127.", "[::1]")


def addresses() -> list[str]:
    """The IPv4 addresses of this laptop's interfaces, loopback left out."""
    import ifaddr

    found = [ip.ip for adapter in ifaddr.get_adapters() for ip in adapter.ips if ip.is_IPv4]
    return sorted(str(ip) for ip in found if not str(ip).startswith("127."))


def join_addresses(scheme: str, host: str, code: str) -> list[str]:
    """Links that join a phone: at the name that the asker used, or at every address when that is the laptop's own."""
    if not host.startswith(LOOPBACK):
        return [f"{scheme}://{host}/join#{code}"]
    port = host.rpartition(":")[2] if ":" in host.rpartition("]")[2] else ""
    return [f"{scheme}://{address}{':' + port if port else ''}/join#{code}" for address in addresses()]
