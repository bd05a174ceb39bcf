"""The addresses at which phones on the same network reach this laptop."""

from urllib.parse import urlsplit

from pitcrew.pit.tls import may_be_named

LOOPBACK = ("localhost", "127.", "[::1]")


def addresses() -> list[str]:
    """The IPv4 addresses of this laptop's interfaces, loopback left out."""
    import ifaddr

    found = [ip.ip for adapter in ifaddr.get_adapters() for ip in adapter.ips if ip.is_IPv4]
    return sorted(str(ip) for ip in found if not str(ip).startswith("127."))


def join_addresses(scheme: str, host: str, code: str) -> list[str]:
    """Links that join a phone: at the name that the asker used, or at every address when that is
    the laptop's own."""
    if not host.startswith(LOOPBACK):
        return [f"{scheme}://{host}/join#{code}"]
    port = host.rpartition(":")[2] if ":" in host.rpartition("]")[2] else ""
    return [
        f"{scheme}://{address}{':' + port if port else ''}/join#{code}" for address in addresses()
    ]


def base_urls(origin: str, port: int) -> list[str]:
    """Where a phone may try next time: the lasting origin, https at each address that the
    certificate names, then plain http.

    `origin` is empty where there is no https, `port` 0 where there is no plain http.
    """
    found = addresses()
    secure = (
        [f"https://{address}:{urlsplit(origin).port}" for address in found if may_be_named(address)]
        if origin
        else []
    )
    plain = [f"http://{address}:{port}" for address in found] if port else []
    return [*([origin] if origin else []), *secure, *plain]
