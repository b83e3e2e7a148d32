"""The people and the town of the demo shop. All of them are invented."""

from collections.abc import Mapping
from typing import Any

#: What the shop types in at its first start (fields of FirstRun).
SHOP: Mapping[str, Any] = {
    "name": "Alder Row Driveline",
    "owner": "Odalys Brannock",
    "station": "Counter",
    "address": "7 Alder Row\nTarn Hollow, Larkmoor",
    "phone": "555-0100",
    "email": "desk@alderrow.example",
    "registration_text": "Repair facility LM-0000 (invented)",
    "currency": "USD",
    "place": "Larkmoor",
    "locale": "en_US",
    "zone": "America/Denver",
    "tax_name": "Larkmoor sales tax",
    "tax_on_parts": "6.25",
    "tax_on_labour": "0",
    "tax_on_fees": "0",
    "warranty_text": "12 months or 12000 mi on this work, whichever comes first, done at our shop.",
    "first_work_order": 4101,
    "first_invoice": 7001,
}

#: The technicians, each with the station they work at.
TECHNICIANS = (("Teo Varglind", "Bay 1"), ("Runa Askeby", "Bay 2"), ("Pim Ollerance", "Bay 3"))

FIRST_NAMES = (
    "Ansel", "Beatriz", "Caspian", "Delphine", "Emeka", "Fenna", "Gideon", "Hana", "Ivo", "Jolanta",
    "Kasimir", "Lucinda", "Mateus", "Nkechi", "Orla", "Pascal", "Quirin", "Rosalba", "Stellan", "Thandi",
    "Ulrike", "Viggo", "Wanda", "Xenia", "Yusuf", "Zoë", "Aldo", "Birgit", "Cormac", "Danuta",
    "Eskil", "Farida", "Goran", "Hedda", "Isidro", "Jarmila", "Kofi", "Lioba", "Milos", "Noor",
    "Otis", "Petra", "Ramiro", "Signe", "Tomasz", "Uma", "Vesna", "Wendell", "Yara", "Zdeněk",
    "Amparo", "Bertil", "Clio", "Dragan", "Elspeth", "Florin",
)  # fmt: skip

LAST_NAMES = (
    "Thistlewick", "Marrowby", "Okondara", "Fennhurst", "Quillgate", "Varenholt", "Brambleton", "Castellow",
    "Duskwood", "Emberley", "Farrowdene", "Gristmill", "Holloweth", "Iverstad", "Jesperlund", "Kettleworth",
    "Larchmere", "Mosswater", "Nettlecombe", "Oakhanger", "Pellworm", "Quartermoor", "Rushbrae", "Saltonby",
    "Tamarind", "Underhay", "Vellacot", "Wintergill", "Yarrowfield", "Zellwood", "Ashdenne", "Birkholm",
    "Cloverlea", "Dunmarrow", "Eastwell-Adé", "Foxcombe", "Gullane-Ruiz", "Heatherby", "Ironbark",
    "Juniperro", "Kingsedge", "Lowmarsh", "Millrace", "Norbeck-Sy", "Osterlund", "Pinkneedle",
    "Ravensworth", "Sedgeley",
    "Tolland-Mbeki", "Upperton", "Vinterskog", "Wharfside", "Yewdale", "Řepka", "Ambleworth", "Brackenridge",
)  # fmt: skip

STREETS = (
    "Weir Lane", "Tannery Row", "Foundry Street", "Upper Tarn Road", "Mill Race", "Orchard Rise",
    "Quarry Hill", "Chapel Bend", "Ferry Landing", "Larch Avenue", "Saltbox Lane", "Station Yard",
)  # fmt: skip
TOWNS = ("Tarn Hollow", "Nether Tarn", "Coldwater Mills", "Hob's Crossing")

COMPANIES = (
    "Tarn Hollow Roofing", "Coldwater Plumbing & Drains", "Larkmoor Fence Works",
    "Nettle & Daughter Caterers", "Upper Tarn Veterinary", "Mill Race Upholstery",
)  # fmt: skip

#: Fleets: who they are, who drives, and how their order numbers begin.
FLEETS = (
    ("Larkmoor Orchard Growers", ("Bertram", "Salome", "Hollis"), "ORCH"),
    ("Tarn Valley Parcel Riders", ("Mirela", "Castor", "Jun"), "TVP"),
    ("Nether Tarn School Vans", ("Agneta", "Dario", "Wilf"), "NTS"),
)

CUSTOMER_WARNINGS = (
    "Call before five: works nights and sleeps until noon.",
    "Pays by check only after the statement; no card on file.",
)
VEHICLE_WARNINGS = (
    "Drain plug thread repaired with an insert: torque to the sheet, no more.",
    "Lift at the marked pads only: left sill is patched.",
)

COMPLAINTS: Mapping[str, tuple[str, ...]] = {
    "transmission": (
        "Shifts late when cold.",
        "Shudders lightly pulling away on the hill.",
        "Fluid service is due by the sticker.",
        "Just bought it, nothing known of the fluid.",
        "Flares between second and third when warm.",
        "Wants the fluid changed before a long tow.",
    ),
    "driveline": (
        "Hums from below at 45 mph.",
        "Differential service is due by the sticker.",
        "Went through deep water last month; wants the oils looked at.",
        "Binds a little in tight turns on dry ground.",
        "Wants all the gear oils done before winter.",
    ),
}

SAID = (
    "Yes, go ahead as quoted.",
    "Fine with the price. Call me when it is ready.",
    "Do it, but nothing beyond that without asking.",
    "Go ahead. Keep the old parts for me to look at.",
)
