"""Something is wrong with a part."""

from pitcrew.base.kinds.kind import CREW, Body, FaultGrade, Kind, Said, own_id, own_part


class FaultReport(Body):
    """`said`: what the symptom is made of where the program wrote it and no one changed it."""

    part: str
    symptom: str
    grade: FaultGrade
    reading: str | None = None
    photos: list[str] = []
    said: Said | None = None


KIND = Kind(
    name="fault",
    body=FaultReport,
    written_by=CREW,
    table="fault_reports",
    key=own_id,
    parts=own_part,
)
