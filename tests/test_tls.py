"""The pit's certificates: constrained, short-lived, renewed when an address appears. Checked by
OpenSSL's own verifier."""

import plistlib
import shutil
import stat
import subprocess
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding

from pitcrew.base.errors import Missing
from pitcrew.pit.tls import (
    CertificateFiles,
    _sign_leaf,
    apple_profile,
    ensure_leaf,
    fingerprint,
    make_authority,
    names_in_leaf,
    root_der,
)

NOW = datetime.now(UTC)
HOST = "pit-3f9a.local"


@pytest.fixture
def files(tmp_path: Path) -> CertificateFiles:
    made = CertificateFiles(tmp_path)
    make_authority(made, HOST, "Tern", NOW)
    return made


def openssl_verify(
    files: CertificateFiles, name_option: list[str]
) -> subprocess.CompletedProcess[str]:
    """RFC 5280 path validation, name constraints included, by the openssl program."""
    program = shutil.which("openssl")
    if program is None:
        pytest.skip("openssl is not on this machine, so its verifier cannot be asked")
    command = [
        program,
        "verify",
        "-x509_strict",
        "-purpose",
        "sslserver",
        "-CAfile",
        files.root,
        "-untrusted",
        files.intermediate,
    ]
    return subprocess.run(
        [*command, *name_option, files.chain], capture_output=True, text=True, check=False
    )


def test_the_chain_holds_for_its_names_and_addresses(files: CertificateFiles) -> None:
    ensure_leaf(files, HOST, ["192.168.7.20", "172.20.10.4"], NOW)
    for option in (
        ["-verify_hostname", HOST],
        ["-verify_ip", "192.168.7.20"],
        ["-verify_ip", "127.0.0.1"],
    ):
        assert openssl_verify(files, option).returncode == 0
    assert openssl_verify(files, ["-verify_hostname", "pit-other.local"]).returncode != 0


@pytest.mark.parametrize("outside", ["example.org", "other.local"])
def test_a_stolen_intermediate_cannot_stand_in_for_another_site(
    files: CertificateFiles, outside: str
) -> None:
    """The constraint is checked by an independent verifier on a leaf that the intermediate really
    signed."""
    key = ec.generate_private_key(ec.SECP256R1())
    forged = _sign_leaf(files, outside, [], key, NOW)
    files.chain.write_bytes(forged.public_bytes(Encoding.PEM))
    answer = openssl_verify(files, [])
    assert answer.returncode != 0
    assert "permitted subtree violation" in answer.stderr


def test_a_public_address_is_left_out_since_it_would_break_the_leaf(
    files: CertificateFiles,
) -> None:
    ensure_leaf(files, HOST, ["203.0.113.9", "192.168.7.20"], NOW)
    assert names_in_leaf(files) == {HOST, "localhost", "127.0.0.1", "192.168.7.20"}
    assert openssl_verify(files, ["-verify_hostname", HOST]).returncode == 0
    forged = _sign_leaf(files, HOST, ["203.0.113.9"], ec.generate_private_key(ec.SECP256R1()), NOW)
    files.chain.write_bytes(forged.public_bytes(Encoding.PEM))
    assert "permitted subtree violation" in openssl_verify(files, []).stderr


def test_the_root_key_is_nowhere(files: CertificateFiles, tmp_path: Path) -> None:
    root = x509.load_pem_x509_certificate(files.root.read_bytes())
    keys = [
        path
        for path in tmp_path.rglob("*")
        if path.is_file() and b"PRIVATE KEY" in path.read_bytes()
    ]
    assert keys == [files.intermediate_key]
    assert (
        x509.load_pem_x509_certificate(files.intermediate.read_bytes()).public_key()
        != root.public_key()
    )
    assert stat.S_IMODE(files.intermediate_key.stat().st_mode) == 0o600


def test_a_leaf_is_reissued_when_an_address_appears_or_its_end_comes_near(
    files: CertificateFiles,
) -> None:
    assert ensure_leaf(files, HOST, ["192.168.7.20"], NOW)
    assert not ensure_leaf(files, HOST, ["192.168.7.20"], NOW)
    assert ensure_leaf(files, HOST, ["192.168.7.20", "10.0.0.3"], NOW)
    assert names_in_leaf(files) == {HOST, "localhost", "127.0.0.1", "192.168.7.20", "10.0.0.3"}
    assert ensure_leaf(files, HOST, ["10.0.0.3"], NOW + timedelta(days=370))


def test_a_leaf_keeps_apples_rules(files: CertificateFiles) -> None:
    """Apple, requirements for trusted certificates (support article 103769): at most 825 days,
    serverAuth, names in the SAN."""
    ensure_leaf(files, HOST, [], NOW)
    leaf = x509.load_pem_x509_certificates(files.chain.read_bytes())[0]
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc <= timedelta(days=397)
    usage = leaf.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert x509.oid.ExtendedKeyUsageOID.SERVER_AUTH in usage
    assert leaf.signature_hash_algorithm is not None
    assert leaf.signature_hash_algorithm.name == "sha256"


def test_the_profile_for_apple_phones_holds_the_root_alone(files: CertificateFiles) -> None:
    profile = plistlib.loads(apple_profile(files, "Tern"))
    assert [item["PayloadType"] for item in profile["PayloadContent"]] == [
        "com.apple.security.root"
    ]
    assert profile["PayloadContent"][0]["PayloadContent"] == root_der(files)
    assert len(fingerprint(files).replace(" ", "")) == 64


def test_without_an_authority_the_way_out_is_said(tmp_path: Path) -> None:
    with pytest.raises(Missing, match="pitcrew certificates"):
        ensure_leaf(CertificateFiles(tmp_path), HOST, [], NOW)
