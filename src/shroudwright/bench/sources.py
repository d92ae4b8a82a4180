"""Where facts come from: one line each, named by key, with how each was seen.

`SOURCES` is the one list; findings, tables and answers quote its keys.
"""

SOURCES: dict[str, str] = {
    "practice": "Common practice, no source.",
    "memory": "From memory, not checked.",
    "33-cfr-183": "US 33 CFR 183.425 and 183.455, conductors and fuses in boats; read in public copies.",
    "aluminum-design-manual-2005": "Aluminum Design Manual (2005), part VII, Table 3-1; read in reproduction.",
    "aluminum-association-values": (
        "Typical values of the Aluminum Association, as tabled by Kutz, Handbook of Materials Selection, and by a "
        "mill; read there."
    ),
    "astm-b258": "ASTM B258, wire gauge formula; from memory.",
    "carobd": "carOBD data set, IEEE document 8891367, one 1.5 L car at idle; derived figures read.",
    "chassis-engineering-2018": (
        "Barton and Fieldhouse, Automotive Chassis Engineering (2018), 4.3.2.1: static loads times 2 or 3; read."
    ),
    "chang-2000-2006": (
        "Chang, Hsu, Lin and Wang, Int. J. Heat Mass Transfer 43 (2000) 2237, amended 49 (2006) 4250; "
        "read in public copies of the equations."
    ),
    "chang-wang-1997": (
        "Chang and Wang, Int. J. Heat Mass Transfer 40 (1997) 533; read in public copies of the equations."
    ),
    "doe-861": "US DOE Fact 861 (2015), idle fuel rates; read.",
    "electrical-survey": "Figures gathered from public data sheets and workshop texts, makers not named.",
    "fuse-data-sheet": "A blade-fuse maker's data sheet after ISO 8820-3, transcribed in public notes; read there.",
    "heywood-1988": "Heywood, Internal Combustion Engine Fundamentals (1988), Table 12.1; from memory.",
    "invented": "Invented for the demo; put your own prices in.",
    "iec-60228-class-5": "IEC 60228 class 5, plain copper; read in public copies of the table.",
    "j2807": "SAE J2807 highway gradeability; public summaries read, the standard not seen.",
    "louver-design": "Principles of louver design, appendix, public text; read.",
    "mac-article": "Trade-institute article on mobile air-conditioning demand; abstract read.",
    "mathers": (
        "Mathers, The Welding of Aluminium and its Alloys, Table 3.3, read; its rows for hot service after an "
        "abstract in Corrosion 15 (1959) 19, read."
    ),
    "melinder": "Melinder (2010), glycol and water property sets, as carried in CoolProp 8.",
    "mil-std-1250a": "MIL-STD-1250A, small cathodes in large anodes; read.",
    "mil-std-889b": "MIL-STD-889B, dissimilar metals, galvanic series; read.",
    "plenum-layout": "Depth-averaged computation of one plenum layout; no published curve exists.",
    "rolling-web": "Public explainer on rolling resistance, 0.010 to 0.015; read, source not named there.",
    "sae-2015-01-1689": "SAE 2015-01-1689, hot air returning at idle; abstract read.",
    "sae-j1128-areas": "SAE J1128 minimum conductor areas; second hand, the standard not seen.",
    "tm-10-5410-221-14": "US Army TM 10-5410-221-14, blind rivets, holes and grips; read.",
    "tm-9-8000": "US Army TM 9-8000, chapter 23, transmission coolers; read.",
    "trade-survey": "Sizes and beliefs gathered from public trade pages; no test shown.",
}


def cite(key: str) -> str:
    """Return the one-line reference behind a key.

    Parameters
    ----------
    key : str
        A key of `SOURCES`, [text]

    Returns
    -------
    reference : str
        One line, [text]

    Raises
    ------
    KeyError
        If no such source is kept.
    """
    return SOURCES[key]
