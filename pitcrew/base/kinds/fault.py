"""Something is wrong with a part."""

from pitcrew.base.kinds.kind import CREW, Body, FaultGrade, Kind, own_id, own_part


class FaultReport(Body):
    part: str
    symptom: str
    grade: FaultGrade
    reading: str | None = None
    photos: list[str] = []


KIND = Kind(
    name="fault",
    body=FaultReport,
    written_by=CREW,
    table="fault_reports",
    key=own_id,
    parts=own_part,
)
