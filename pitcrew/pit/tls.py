"""The pit's own certificates: a root whose key is thrown away, a constrained intermediate, and
short-lived leaves.

Phones install the root once. It can sign nothing any more, and the intermediate that signs the
laptop's certificates is constrained to this pit's `.local` name and to private addresses (RFC 5280,
section 4.2.1.10), so a stolen intermediate key cannot stand in for any other site. A leaf names
every current address and lives 397 days at most.
"""

import ipaddress
import plistlib
import uuid
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from pitcrew.base.errors import Missing
from pitcrew.storage.durable import replace_whole

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

ROOT_LIFE = timedelta(days=3650)
LEAF_LIFE = timedelta(days=397)
RENEW_BEFORE = timedelta(days=30)
BACKDATE = timedelta(days=1)
PRIVATE_NETWORKS = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "127.0.0.0/8",
    "fc00::/7",
    "fe80::/10",
    "::1/128",
)


@dataclass(frozen=True)
class CertificateFiles:
    """Where the certificates of a pit folder lie. The two keys are secrets; the root has no key on
    disk."""

    folder: Path

    @property
    def root(self) -> Path:
        return self.folder / "certificates" / "root.crt"

    @property
    def intermediate(self) -> Path:
        return self.folder / "certificates" / "intermediate.crt"

    @property
    def intermediate_key(self) -> Path:
        return self.folder / "secrets" / "intermediate.key"

    @property
    def chain(self) -> Path:
        return self.folder / "certificates" / "leaf.crt"

    @property
    def leaf_key(self) -> Path:
        return self.folder / "secrets" / "leaf.key"


def make_authority(files: CertificateFiles, host: str, label: str, now: datetime) -> None:
    """Make root and intermediate for the lasting name `host` (such as `pit-3f9a.local`); the root's
    key is never written."""
    from cryptography.hazmat.primitives.asymmetric import ec

    root_key, key = ec.generate_private_key(ec.SECP256R1()), ec.generate_private_key(ec.SECP256R1())
    root_name, name = _name(f"pitcrew {label} root"), _name(f"pitcrew {label} pit")
    limits = _constraints(host)
    root = _sign_authority(root_name, root_name, root_key, root_key, 1, limits, now)
    intermediate = _sign_authority(name, root_name, key, root_key, 0, limits, now)
    _write(files.root, _pem(root))
    _write(files.intermediate, _pem(intermediate))
    _write_key(files.intermediate_key, key)


def ensure_leaf(files: CertificateFiles, host: str, addresses: list[str], now: datetime) -> bool:
    """Issue a leaf for `host`, `localhost` and every private address, unless the present one names
    them all and lives on.

    A public address is left out: one name outside the constraints would make the whole leaf
    invalid. Returns whether a new one was issued. Raises Missing where the pit has no intermediate.
    """
    addresses = [address for address in addresses if may_be_named(address)]
    if _leaf_serves(files, host, addresses, now):
        return False
    if not files.intermediate_key.exists() or not files.intermediate.exists():
        raise Missing(
            "This pit has no certificates yet. Make them with: pitcrew certificates FOLDER"
        )
    from cryptography.hazmat.primitives.asymmetric import ec

    key = ec.generate_private_key(ec.SECP256R1())
    leaf = _sign_leaf(files, host, addresses, key, now)
    _write_key(files.leaf_key, key)
    _write(files.chain, _pem(leaf) + files.intermediate.read_bytes())
    return True


def may_be_named(address: str) -> bool:
    """Whether an address is in the networks that the constraints permit."""
    ip = ipaddress.ip_address(address)
    return any(
        ip in network
        for network in map(ipaddress.ip_network, PRIVATE_NETWORKS)
        if network.version == ip.version
    )


def names_in_leaf(files: CertificateFiles) -> set[str]:
    """The host names and addresses that the present leaf names; empty where there is none."""
    leaf = _load_leaf(files)
    if leaf is None:
        return set()
    from cryptography import x509

    names = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return set(names.get_values_for_type(x509.DNSName)) | {
        str(ip) for ip in names.get_values_for_type(x509.IPAddress)
    }


def fingerprint(files: CertificateFiles) -> str:
    """The root's SHA-256 fingerprint in groups of four, to compare on a phone's screen."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes

    digits = (
        x509.load_pem_x509_certificate(files.root.read_bytes())
        .fingerprint(hashes.SHA256())
        .hex()
        .upper()
    )
    return " ".join(digits[start : start + 4] for start in range(0, len(digits), 4))


def root_der(files: CertificateFiles) -> bytes:
    """The root as DER, the form that every phone takes. Raises Missing."""
    if not files.root.exists():
        raise Missing(
            "This pit has no certificates yet. Make them with: pitcrew certificates FOLDER"
        )
    from cryptography import x509
    from cryptography.hazmat.primitives.serialization import Encoding

    return x509.load_pem_x509_certificate(files.root.read_bytes()).public_bytes(Encoding.DER)


def apple_profile(files: CertificateFiles, label: str) -> bytes:
    """A configuration profile that holds only the root, for iOS and iPadOS."""
    der = root_der(files)
    identity = uuid.uuid5(uuid.NAMESPACE_OID, fingerprint(files))
    root = {
        "PayloadType": "com.apple.security.root",
        "PayloadVersion": 1,
        "PayloadIdentifier": f"pitcrew.{identity}.root",
        "PayloadUUID": str(uuid.uuid5(identity, "root")),
        "PayloadDisplayName": f"pitcrew {label}",
        "PayloadContent": der,
    }
    profile = {
        "PayloadType": "Configuration",
        "PayloadVersion": 1,
        "PayloadIdentifier": f"pitcrew.{identity}",
        "PayloadUUID": str(identity),
        "PayloadDisplayName": f"pitcrew {label}",
        "PayloadContent": [root],
        "PayloadDescription": "Lets this phone trust the pit laptop's own pages, and nothing else.",
    }
    return plistlib.dumps(profile)


def _name(common: str) -> "x509.Name":
    from cryptography import x509
    from cryptography.x509.oid import NameOID

    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common[:64])])


def _constraints(host: str) -> "x509.NameConstraints":
    from cryptography import x509

    networks = [x509.IPAddress(ipaddress.ip_network(network)) for network in PRIVATE_NETWORKS]
    return x509.NameConstraints([x509.DNSName(host), x509.DNSName("localhost"), *networks], None)


def _sign_authority(
    subject: "x509.Name",
    issuer: "x509.Name",
    key: "EllipticCurvePrivateKey",
    issuer_key: "EllipticCurvePrivateKey",
    length: int,
    limits: "x509.NameConstraints",
    now: datetime,
) -> "x509.Certificate":
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes

    usage = x509.KeyUsage(False, False, False, False, False, True, True, False, False)
    builder = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BACKDATE)
        .not_valid_after(now + ROOT_LIFE)
        .add_extension(x509.BasicConstraints(ca=True, path_length=length), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(limits, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer_key.public_key()),
            critical=False,
        )
    )
    return builder.sign(issuer_key, hashes.SHA256())


def _sign_leaf(
    files: CertificateFiles,
    host: str,
    addresses: list[str],
    key: "EllipticCurvePrivateKey",
    now: datetime,
) -> "x509.Certificate":
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.x509.oid import ExtendedKeyUsageOID

    issuer = x509.load_pem_x509_certificate(files.intermediate.read_bytes())
    issuer_key = serialization.load_pem_private_key(
        files.intermediate_key.read_bytes(), password=None
    )
    names = [x509.DNSName(host), x509.DNSName("localhost")]
    ips = [
        x509.IPAddress(ipaddress.ip_address(address))
        for address in sorted({*addresses, "127.0.0.1"})
    ]
    usage = x509.KeyUsage(True, False, False, False, False, False, False, False, False)
    builder = (
        x509.CertificateBuilder()
        .subject_name(_name(host))
        .issuer_name(issuer.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BACKDATE)
        .not_valid_after(now - BACKDATE + LEAF_LIFE)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName([*names, *ips]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(
                issuer_key.public_key()  # type: ignore[arg-type]
            ),
            critical=False,
        )
    )
    return builder.sign(issuer_key, hashes.SHA256())  # type: ignore[arg-type]


def _leaf_serves(files: CertificateFiles, host: str, addresses: list[str], now: datetime) -> bool:
    leaf = _load_leaf(files)
    if leaf is None or not files.leaf_key.exists():
        return False
    lives_on = leaf.not_valid_before_utc <= now and now + RENEW_BEFORE < leaf.not_valid_after_utc
    return lives_on and {host, *addresses} <= names_in_leaf(files)


def _load_leaf(files: CertificateFiles) -> "x509.Certificate | None":
    from cryptography import x509

    try:
        return x509.load_pem_x509_certificates(files.chain.read_bytes())[0]
    except (FileNotFoundError, ValueError):
        return None


def _pem(certificate: "x509.Certificate") -> bytes:
    from cryptography.hazmat.primitives.serialization import Encoding

    return certificate.public_bytes(Encoding.PEM)


def _write_key(path: Path, key: "EllipticCurvePrivateKey") -> None:
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    _write(path, key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()), mode=0o600)


def _write(path: Path, content: bytes, mode: int = 0o644) -> None:
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    replace_whole(path, content, mode)
