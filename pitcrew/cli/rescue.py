"""The commands against loss: verify a logbook, keep a recovery file, rebuild on another laptop, and
renew the certificates that phones trust."""

from pathlib import Path
from typing import Any

import click

from pitcrew.cli.parts import FINDING, FOLDER, example


@example("pitcrew verify our-season --head 131:9f3a-01bc-77de")
@click.command()
@FOLDER
@click.option(
    "--head",
    default=None,
    help="A head from a printed sheet or a phone, SEQ:SEAL, that must be in the log.",
)
def verify(folder: Path, head: str | None) -> None:
    """Check the logbook from its first entry. Seals, order, verdicts, clearances; exit 1 naming the
    first bad entry."""
    from pitcrew.pit.verify import verify_folder

    report = verify_folder(folder, head)
    click.echo("\n".join(report.lines))
    if report.bad:
        raise SystemExit(FINDING)


@example("pitcrew recovery our-season -o /media/stick/recovery.json")
@click.command()
@FOLDER
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    default=None,
    help="Where to.  [default: in FOLDER]",
)
def recovery(folder: Path, output: Path | None) -> None:
    """Write the recovery file again. It holds keys, certificates, who has joined, and your files:
    keep it secret."""
    from pitcrew.base.clock import system_clock
    from pitcrew.pit.recovery import left_out, read_recovery, write_recovery

    written = write_recovery(folder, output, system_clock())
    click.echo(
        f"Wrote {written}. Who has it can stand in for this laptop: keep it on a memory stick."
    )
    if lacking := left_out(read_recovery(written)):
        click.echo(lacking)


@example("pitcrew adopt rebuilt --recovery recovery.json ivo.pitcrew.json")
@click.command()
@FOLDER
@click.argument("bundles", type=click.Path(path_type=Path), nargs=-1)
@click.option(
    "--recovery",
    type=click.Path(path_type=Path),
    default=None,
    help="The recovery file of the lost laptop.",
)
def adopt(folder: Path, bundles: tuple[Path, ...], recovery: Path | None) -> None:
    """Rebuild a logbook from what phones hold. From hand-over files here, or later from the phones
    themselves."""
    from pitcrew.cli.dispatch import run_command
    from pitcrew.pit.recovery import prepare
    from pitcrew.pit.textfiles import read_text_file

    click.echo(prepare(folder, recovery))
    answer: dict[str, Any] = {"adopted": []}
    for path in bundles:
        answer = run_command(folder, "adopt-bundle", {"text": read_text_file(path)})
        click.echo(
            f"{path.name}: {answer['sentence']}"
            + (f" Receipt: {answer['receipt']}" if answer["receipt"] else "")
        )
    click.echo("\n".join(answer["adopted"]), nl=bool(answer["adopted"]))


@example("pitcrew certificates our-season")
@click.command()
@FOLDER
@click.option(
    "--new-root",
    is_flag=True,
    help="Make new certificates for everything; every phone must then install the root again.",
)
def certificates(folder: Path, new_root: bool) -> None:
    """Make or renew the pit's certificates. The laptop's is for its current addresses; the root's
    fingerprint is shown."""
    from pitcrew.base.clock import system_clock
    from pitcrew.pit.addresses import addresses
    from pitcrew.pit.folder import pit_host
    from pitcrew.pit.tls import (
        CertificateFiles,
        ensure_leaf,
        fingerprint,
        make_authority,
        names_in_leaf,
    )

    files, host, now = CertificateFiles(folder), pit_host(folder), system_clock()
    if new_root or not files.intermediate_key.exists():
        make_authority(files, host, host.removesuffix(".local"), now)
        files.chain.unlink(missing_ok=True)
    issued = ensure_leaf(files, host, addresses(), now)
    click.echo(
        f"{'Issued a certificate for' if issued else 'The certificate holds for'}:"
        f" {', '.join(sorted(names_in_leaf(files)))}"
    )
    click.echo(f"Fingerprint of the root, as phones show it (SHA-256): {fingerprint(files)}")
