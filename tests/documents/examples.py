"""Papers of an invented shop, filled in by hand. Names, places, fluids and figures are made up."""

from dataclasses import replace

from shopdesk.documents.estimate import EstimatePaper
from shopdesk.documents.facts import (
    Authorisation,
    FluidUsed,
    Party,
    PriceLine,
    ShopHead,
    SumLine,
    TextBlock,
    VehicleBlock,
)
from shopdesk.documents.invoice import InvoicePaper, TaxLine
from shopdesk.documents.job_sheet import JobSheetPaper, JobStep, TorqueRow, WriteBox
from shopdesk.documents.service_record import (
    BalanceRow,
    ConditionState,
    Deviation,
    LevelCondition,
    MeasuredFact,
    ServiceRecordPaper,
)
from shopdesk.documents.sticker import StickerPaper

SHOP = ShopHead(
    name="Quillmere Driveline",
    address=("41 Tannery Row", "Quillmere, QM 20418"),
    phone="+1 555 0142",
    email="desk@quillmere.example",
    registrations=("Shop registration QD 00218",),
)
CUSTOMER = Party(name="Ilse Varnholt", lines=("7 Heron Lane", "Quillmere, QM 20418", "+1 555 0177"))
VEHICLE = VehicleBlock(
    description="2019 Corvane Tarn pickup, 4WD",
    plate="KT 4471",
    vin="1M8GDM9AXKP042788",
    unit="Automatic, 8-speed",
    odometer_in="118,240 mi",
    odometer_out="118,247 mi",
)
LINES = (
    PriceLine(
        kind="Labor",
        text="Drain and fill with level set at temperature",
        quantity="1.4",
        unit="h",
        unit_price="110.00",
        amount="154.00",
    ),
    PriceLine(
        kind="Fluid",
        text="Brightwater MV transmission fluid",
        quantity="4.0",
        unit="qt",
        unit_price="14.50",
        amount="58.00",
        detail=("Meets CTF-4; basis: maker's own statement",),
    ),
    PriceLine(
        kind="Part",
        text="Drain plug washer",
        condition="new",
        quantity="2",
        unit="pc",
        unit_price="1.85",
        amount="3.70",
        detail=("Part no. QW-1814",),
    ),
    PriceLine(
        kind="Fee",
        text="Used oil pick-up",
        quantity="1",
        unit="pc",
        unit_price="3.20",
        amount="3.20",
    ),
)
SUBTOTALS = (
    SumLine(label="Labor", amount="154.00"),
    SumLine(label="Parts and fluids", amount="61.70"),
    SumLine(label="Other", amount="3.20"),
)
CONSENT = Authorisation(
    who="Ilse Varnholt",
    relation="owner",
    when="3 Mar 2027 09:12 CST",
    how="in person, signed",
    words="Go ahead with the transmission service as estimated.",
    up_to="218.90",
    taken_by="Sam Okoro",
)
WARRANTY = (
    "12 months or 12,000 mi, whichever comes first, on the work listed. Covered: labour, fluid and washers."
)
FLUID = FluidUsed(
    product="Brightwater MV",
    maker="Brightwater Lubricants",
    kind="Automatic transmission fluid",
    claim="CTF-4; maker's own statement",
    quantity="4.0 qt",
    lot="BW-2231",
)
SOURCE = "Corvane workshop sheet 17-204, edition 3, read 12 Feb 2027 by S. Okoro, checked by M. Adeyi"

ESTIMATE = EstimatePaper(
    shop=SHOP,
    number="2117",
    revision="1",
    date="3 Mar 2027",
    time="09:05",
    customer=CUSTOMER,
    vehicle=VEHICLE,
    asked="Shudders at low speed when cold. Bought the truck last month, nothing known about the fluid.",
    lines=LINES,
    subtotals=SUBTOTALS,
    net="218.90",
    work_order="2117",
    po_number="F-0093",
    valid_until="17 Mar 2027",
    promised="4 Mar 2027, 16:00",
    replaced_parts="Customer wants to see the old washers and filter; they need not be kept.",
    authorise_up_to="218.90",
    warranty=WARRANTY,
    texts=(
        TextBlock(title="Storage", text="No storage is charged before the third working day after notice."),
    ),
)

INVOICE = InvoicePaper(
    shop=SHOP,
    number="1042",
    issued_on="4 Mar 2027",
    work_done_on="4 Mar 2027",
    pay_by="18 Mar 2027",
    work_order="2117",
    po_number="F-0093",
    customer=CUSTOMER,
    payer=Party(name="Harrow Field Fleet Office", lines=("Accounts, 2 Depot Road", "Tax no. QM-77-1204")),
    vehicle=VEHICLE,
    lines=LINES,
    subtotals=SUBTOTALS,
    net="218.90",
    taxes=(
        TaxLine(label="Sales tax 8.25 %", base="61.70", amount="5.09"),
        TaxLine(label="Service tax 2 %", base="157.20", amount="3.14"),
    ),
    total="227.13",
    paid=(SumLine(label="Deposit, card, 3 Mar 2027", amount="−50.00"),),
    balance="177.13",
    currency="USD",
    fluids=(FLUID,),
    authorisations=(CONSENT,),
    notes=("A wheel was off for this work. Have the wheel nuts re-torqued after 50 mi.",),
    warranty=WARRANTY,
    qr_text="INVOICE 1042\nDATE 2027-03-04\nTOTAL 227.13 USD",
)

JOB_SHEET = JobSheetPaper(
    shop_name=SHOP.name,
    number="2117",
    key_tag="14",
    parked_at="Row C, by the gate",
    plate="KT 4471",
    vehicle="2019 Corvane Tarn pickup, 4WD",
    vin="1M8GDM9AXKP042788",
    unit="Automatic, 8-speed",
    odometer_in="118,240 mi",
    promised="4 Mar 2027, 16:00",
    technician="Sam Okoro",
    complaint="Shudders at low speed when cold. Nothing known about the fluid.",
    warnings=("Fill plug thread was repaired in 2025: start it by hand.", "Call the customer before 5."),
    specification="CTF-4",
    product="Brightwater MV, lot BW-2231",
    planned_quantity="4.0 qt (3.79 L)",
    service_method="Drain and fill, single",
    level_method="Overflow tube, engine idling",
    window="95–113 °F\n35–45 °C",
    steps=(
        JobStep(
            text="Raise the vehicle and set it level.",
            cautions=("Lift only at the maker's points. Lock the lift; rock it before you go under.",),
        ),
        JobStep(
            text="Loosen the fill plug.",
            cautions=("Loosen the FILL plug first. If it will not come out, do not drain.",),
        ),
        JobStep(
            text="Drain into the measuring pan; read it when it drips.",
            cautions=("Fluid and pan may be hot. Gloves, sleeves, eye shield.",),
        ),
        JobStep(
            text="Fit the drain plug with a new washer.",
            cautions=("Torque to specification. Record the tool.",),
        ),
        JobStep(
            text="Fill the planned quantity; torque the fill plug.",
            cautions=("Check product against specification before the pump starts. Label the jug.",),
        ),
        JobStep(
            text="Start the engine. Cycle the selector, 4 seconds in each position.",
            cautions=(
                "Parking brake set, wheels chocked, foot on brake. Nobody under the vehicle.",
                "No gear with a wheel off or hanging.",
            ),
        ),
        JobStep(
            text="In the window, open the level plug; close it at a drip.",
            cautions=("Stay clear of fans, shafts, exhaust.", "Read the temperature now, not a minute ago."),
        ),
        JobStep(text="Torque the level plug. Check for leaks after the road test."),
    ),
    boxes=(
        WriteBox(label="Drained", unit="qt"),
        WriteBox(label="Fluid in the pan at", unit="°F"),
        WriteBox(label="Put in", unit="qt"),
        WriteBox(label="Spilled", unit="qt"),
        WriteBox(label="Ran out at level check", unit="qt"),
        WriteBox(label="Plug opened at", unit="°F"),
        WriteBox(label="Plug closed at", unit="°F"),
        WriteBox(label="Opened, closed (time)"),
        WriteBox(label="Fill plug torque", unit="ft-lb"),
        WriteBox(label="Drain plug torque", unit="ft-lb"),
        WriteBox(label="Washers: new or reused"),
        WriteBox(label="Wheel nuts torque", unit="ft-lb"),
    ),
    torques=(
        TorqueRow(fastener="Fill plug", torque="36 ft-lb (48.8 N·m)", note="new washer"),
        TorqueRow(fastener="Drain plug", torque="36 ft-lb (48.8 N·m)", note="new washer"),
        TorqueRow(fastener="Level plug", torque="20 ft-lb (27.1 N·m)"),
    ),
    cautions=(
        "Stop, contain, absorb, log any spill.",
        "Used oil only in the used-oil tank. No brake cleaner.",
    ),
    source=SOURCE,
)

RECORD = ServiceRecordPaper(
    shop=SHOP,
    number="2117-A",
    date="4 Mar 2027",
    work_order="2117",
    owner=CUSTOMER,
    vehicle=VEHICLE,
    service="Drain and fill, single",
    facts=(
        MeasuredFact(
            what="Drained, read in the pan", value="3.20 qt", at="86 °F", instrument="pan 3, ± 0.11 qt"
        ),
        MeasuredFact(what="Put in", value="4.00 qt", at="68 °F", instrument="hand pump 1, ± 0.03 qt"),
        MeasuredFact(what="Level plug opened", value="97.5 °F", instrument="scan tool, ± 2 °F"),
        MeasuredFact(what="Level plug closed", value="108 °F", instrument="scan tool, ± 2 °F"),
        MeasuredFact(
            what="Drain plug torque", value="36 ft-lb", instrument="wrench 2, calibrated 9 Jan 2027"
        ),
        MeasuredFact(what="Washer", value="reused"),
    ),
    level_verdict="Level set: all 7 conditions recorded as met",
    conditions=(
        LevelCondition(text="Vehicle level", state=ConditionState.MET, value="lift arms level"),
        LevelCondition(text="Opened within 95–113 °F", state=ConditionState.MET, value="97.5 °F"),
        LevelCondition(text="Closed within 95–113 °F", state=ConditionState.MET, value="108 °F"),
        LevelCondition(text="Flow at opening a stream", state=ConditionState.MET, value="stream"),
        LevelCondition(text="Flow at closing a drip", state=ConditionState.MET, value="drip"),
        LevelCondition(text="Engine idling", state=ConditionState.MET, value="idling"),
        LevelCondition(text="Selector cycled", state=ConditionState.MET, value="4 positions, 4 s each"),
    ),
    balance_result="Came in low by 0.22 qt ± 0.13 qt",
    balance=(
        BalanceRow(sign="+", what="Put in", value="4.00 qt", at="68 °F", spread="± 0.03 qt"),
        BalanceRow(sign="−", what="Spilled", value="0.05 qt", at="68 °F", spread="± 0.02 qt"),
        BalanceRow(sign="−", what="Ran out at level check", value="0.53 qt", at="104 °F", spread="± 0.03 qt"),
        BalanceRow(sign="−", what="Drained", value="3.20 qt", at="86 °F", spread="± 0.11 qt"),
        BalanceRow(
            sign="=", what="At the level temperature", value="0.22 qt", at="104 °F", spread="± 0.13 qt"
        ),
    ),
    balance_note="All volumes brought to the level temperature; ± covers about 95 in 100 such records.",
    deviations=(Deviation(what="Washer reused", reason="none of this size in stock; seat clean, no leak"),),
    new_fluid="50 %",
    new_fluid_range="between 46 % and 53 %",
    new_fluid_assumption="taking old and new fluid to be fully mixed",
    average_age="At most 17,500 mi",
    next_due="4 Mar 2030 or 148,240 mi, whichever comes first",
    next_due_reason="shop policy for towing: 30,000 mi or 36 months",
    fluids=(FLUID,),
    specification="CTF-4",
    source=SOURCE,
    technicians=("Sam Okoro",),
    evidence_id="7f3a 91c2 0be4",
    qr_text="RECORD 2117-A\nDATE 2027-03-04\nPUT IN 4.00 qt\nCODE 7f3a91c20be4",
)

UNPROVEN = replace(
    RECORD,
    owner=None,
    vehicle=VehicleBlock(description="2019 Corvane Tarn pickup, 4WD", unit="Automatic, 8-speed"),
    level_verdict="Level not proven: 1 of 4 conditions not met, 1 not recorded",
    conditions=(
        LevelCondition(text="Vehicle level", state=ConditionState.MET, value="lift arms level"),
        LevelCondition(text="Opened within 95–113 °F", state=ConditionState.MET, value="97.5 °F"),
        LevelCondition(text="Closed within 95–113 °F", state=ConditionState.NOT_MET, value="115 °F"),
        LevelCondition(text="Flow at closing a drip", state=ConditionState.NOT_RECORDED),
    ),
    balance_result="Cannot be said: the level was not set in its window",
    balance=(),
    balance_note="",
    average_age="",
)

STICKER = StickerPaper(
    shop_name=SHOP.name,
    phone=SHOP.phone,
    item="Automatic transmission fluid",
    done_on="04 MAR 2027",
    done_odometer="118,247 mi",
    due_date="04 MAR 2030",
    due_odometer="148,240",
    odometer_unit="mi",
    qr_text="DUE 2030-03-04 OR 148240 MI\nATF, DONE 2027-03-04",
)
