"""The job sheet for the bay: large, in the order of work, with its cautions and boxes to write in."""

from dataclasses import dataclass

from shopdesk.documents.facts import TextBlock


@dataclass(frozen=True, kw_only=True, slots=True)
class JobStep:
    """One step of the sheet's order of work, with the cautions that stand beside it."""

    text: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class WriteBox:
    """A box to fill in by hand: "Put in", "Drained"; `unit` is printed inside, at the right."""

    label: str
    unit: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class TorqueRow:
    """A fastener and its torque ("36 ft-lb (48.8 N·m)"); `note` says how, or which washer."""

    fastener: str
    torque: str
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class JobSheetPaper:
    """`window` carries both scales as the shop shows them ("95–113 °F / 35–45 °C"); `source` says where
    the sheet's
    values were read, by whom and when. `notes` are further texts such as history ("last time 0.3 qt ran
    out").
    """

    shop_name: str
    number: str
    vehicle: str
    unit: str
    specification: str
    product: str
    planned_quantity: str
    level_method: str
    steps: tuple[JobStep, ...]
    boxes: tuple[WriteBox, ...]
    source: str
    plate: str = ""
    vin: str = ""
    key_tag: str = ""
    parked_at: str = ""
    odometer_in: str = ""
    promised: str = ""
    technician: str = ""
    service_method: str = ""
    window: str = ""
    complaint: str = ""
    warnings: tuple[str, ...] = ()
    torques: tuple[TorqueRow, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[TextBlock, ...] = ()
