"""The journal's tables, as ordered migrations: each is run once, in a transaction of its own, and never edited.

`events` is the truth and is only ever added to; the other tables repeat it in columns that can be searched.
Dates and times are text (ISO 8601), money is decimal text, masses are grams.
"""

APPLICATION_ID = 0x57486A31  # "WHj1" in the file's header: this file is a weighout journal

EVENTS = (
    """
    CREATE TABLE migrations (
        number INTEGER PRIMARY KEY,
        name TEXT NOT NULL
    )
    """,
    """
    CREATE TABLE events (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        id TEXT NOT NULL UNIQUE,
        at TEXT NOT NULL,
        kind TEXT NOT NULL,
        body TEXT NOT NULL
    )
    """,
    """
    CREATE TRIGGER events_stay BEFORE UPDATE ON events
    BEGIN SELECT RAISE(ABORT, 'events are never changed'); END
    """,
    """
    CREATE TRIGGER events_remain BEFORE DELETE ON events
    BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END
    """,
    """
    CREATE TABLE undone (
        event TEXT PRIMARY KEY REFERENCES events (id),
        undo TEXT NOT NULL REFERENCES events (id)
    )
    """,
)

BATCHES = (
    """
    CREATE TABLE batches (
        number INTEGER PRIMARY KEY,
        event TEXT NOT NULL UNIQUE REFERENCES events (id),
        made_on TEXT NOT NULL,
        title TEXT NOT NULL,
        standard TEXT NOT NULL,
        life_stage TEXT NOT NULL,
        all_met INTEGER NOT NULL,
        mass_g REAL NOT NULL CHECK (mass_g > 0),
        meat_g REAL NOT NULL,
        energy_kcal REAL NOT NULL,
        cost TEXT,
        currency TEXT NOT NULL,
        supplement_count INTEGER NOT NULL,
        portions INTEGER CHECK (portions > 0)
    )
    """,
    """
    CREATE TABLE batch_lines (
        batch TEXT NOT NULL REFERENCES batches (event),
        place INTEGER NOT NULL,
        food TEXT NOT NULL,
        name TEXT NOT NULL,
        role TEXT NOT NULL,
        grams REAL NOT NULL,
        text TEXT NOT NULL,
        planned_grams REAL NOT NULL,
        planned_text TEXT NOT NULL,
        cost TEXT,
        PRIMARY KEY (batch, place)
    )
    """,
    "CREATE INDEX batch_lines_by_food ON batch_lines (food)",
    """
    CREATE TABLE batch_nutrients (
        batch TEXT NOT NULL REFERENCES batches (event),
        nutrient TEXT NOT NULL,
        name TEXT NOT NULL,
        unit TEXT NOT NULL,
        per_1000_kcal REAL NOT NULL,
        minimum REAL,
        maximum REAL,
        status TEXT NOT NULL,
        PRIMARY KEY (batch, nutrient)
    )
    """,
    """
    CREATE TABLE lots (
        batch TEXT NOT NULL REFERENCES batches (event),
        food TEXT NOT NULL,
        lot TEXT NOT NULL,
        use_by TEXT NOT NULL
    )
    """,
    "CREATE INDEX lots_by_lot ON lots (lot)",
    """
    CREATE TABLE notes (
        event TEXT PRIMARY KEY REFERENCES events (id),
        batch TEXT NOT NULL REFERENCES batches (event),
        text TEXT NOT NULL
    )
    """,
    """
    CREATE TABLE feedings (
        event TEXT PRIMARY KEY REFERENCES events (id),
        batch TEXT NOT NULL REFERENCES batches (event),
        grams REAL NOT NULL CHECK (grams > 0)
    )
    """,
)

STOCK = (
    """
    CREATE TABLE packages (
        number INTEGER PRIMARY KEY,
        event TEXT NOT NULL UNIQUE REFERENCES events (id),
        food TEXT NOT NULL,
        name TEXT NOT NULL,
        listed TEXT NOT NULL CHECK (listed IN ('on_hand', 'supplements')),
        text TEXT NOT NULL,
        unit TEXT NOT NULL,
        grams_per_unit REAL NOT NULL CHECK (grams_per_unit > 0),
        grams REAL NOT NULL CHECK (grams > 0),
        price TEXT,
        currency TEXT NOT NULL,
        lot TEXT NOT NULL,
        use_by TEXT NOT NULL,
        bought_on TEXT NOT NULL,
        step TEXT NOT NULL
    )
    """,
    "CREATE INDEX packages_by_food ON packages (food)",
    """
    CREATE TABLE takes (
        batch TEXT NOT NULL REFERENCES batches (event),
        package TEXT NOT NULL REFERENCES packages (event),
        grams REAL NOT NULL CHECK (grams > 0)
    )
    """,
    """
    CREATE TABLE counts (
        event TEXT PRIMARY KEY REFERENCES events (id),
        package TEXT NOT NULL REFERENCES packages (event),
        change_grams REAL NOT NULL
    )
    """,
)

MIGRATIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("events, of which everything else is a copy", EVENTS),
    ("batches, their lines, nutrients, lots, notes and feedings", BATCHES),
    ("stock: packages, what batches took, what was counted", STOCK),
)
