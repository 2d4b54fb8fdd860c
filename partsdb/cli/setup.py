"""Setting up and keeping stock: the shop, machines and positions, the shelf, suppliers and offers."""

from __future__ import annotations

from typing import Annotated
from uuid import uuid4

import typer

from partsdb.cli.edge import DutyTerms, Json, KindOption, edge, show, width
from partsdb.errors import BadInput

Sets = Annotated[list[str], typer.Option("--set", help='A value: "voltage_ac=440 V", "service=run".')]


def register(app: typer.Typer) -> None:
    """Add these command groups to the program."""
    shop = typer.Typer(help="Your own shop: set once.", no_args_is_help=True)
    shop.command("set", epilog="Example: partsdb shop set Ropewalk --country GB --supply 415V --hertz 50")(
        shop_set
    )
    shop.command("show", epilog="Example: partsdb shop show")(shop_show)
    machine = typer.Typer(help="The machines.", no_args_is_help=True)
    machine.command("add", epilog='Example: partsdb machine add strander2 --year 1953 --plate "440 V 60 Hz"')(
        machine_add
    )
    machine.command("list", epilog="Example: partsdb machine list")(machine_list)
    position = typer.Typer(help="Places for parts on a machine.", no_args_is_help=True)
    position.command(
        "add", epilog='Example: partsdb position add strander "pump contactor" --kind contactor'
    )(position_add)
    position.command("list", epilog="Example: partsdb position list strander")(position_list)
    shelf = typer.Typer(help="What lies in the drawer.", no_args_is_help=True)
    shelf.command(
        "add", epilog='Example: partsdb shelf add "20 µF 450 V AC" --kind capacitor --condition new'
    )(shelf_add)
    shelf.command("list", epilog="Example: partsdb shelf list")(shelf_list)
    shelf.command("tested", epilog='Example: partsdb shelf tested "20 µF"')(shelf_tested)
    for name, group in (("shop", shop), ("machine", machine), ("position", position), ("shelf", shelf)):
        app.add_typer(group, name=name)
    app.command("suppliers", epilog="Example: partsdb suppliers")(suppliers)


def shop_set(
    context: typer.Context,
    name: Annotated[str, typer.Argument(help="What the shop is called.")] = "shop",
    zone: Annotated[str, typer.Option(help="Time zone.")] = "Europe/London",
    country: Annotated[str, typer.Option(help="ISO country code, for public holidays.")] = "GB",
    region: Annotated[str, typer.Option(help="ISO region code, for public holidays.")] = "",
    hours: Annotated[str, typer.Option(help="Working hours.")] = "mon-fri 08:00-16:30",
    goods_in: Annotated[str, typer.Option("--goods-in", help="When parcels are received.")] = "",
    currency: Annotated[str, typer.Option(help="ISO currency code.")] = "GBP",
    fitters: Annotated[int, typer.Option(help="How many people can fit parts.")] = 1,
    labour: Annotated[str, typer.Option(help="Cost of a fitter's hour.")] = "0",
    supply: Annotated[str, typer.Option(help="Supply voltage, measured.")] = "",
    hertz: Annotated[str, typer.Option(help="Supply frequency.")] = "",
    phases: Annotated[int | None, typer.Option(help="Supply phases.")] = None,
    units: Annotated[
        str, typer.Option(help="metric, or inch: inches, horsepower and °F beside the metric.")
    ] = "metric",
    rate: Annotated[list[str], typer.Option(help="Rate of exchange into your currency: EUR=0.86")] = [],
) -> None:
    """Set the shop's place, hours, supply and currency. What isn't given stays as it was."""
    from dataclasses import replace

    from partsdb.money import money
    from partsdb.reading.measuring import duty_from
    from partsdb.services.entering import changed_shop, rates_from, shop_from

    stated = duty_from(
        [f"supply_voltage={supply}"] * bool(supply) + [f"supply_frequency={hertz}"] * bool(hertz)
    )
    volts, cycles = (
        float(stated[k]) if k in stated else None for k in ("supply_voltage", "supply_frequency")
    )
    shop = shop_from(
        name,
        zone=zone,
        country=country,
        region=region,
        hours=hours,
        goods_in=goods_in,
        currency=currency,
        fitters=fitters,
        units=units,
        supply=(volts, cycles, phases),
    )
    shop = replace(shop, rates=rates_from(rate), labour_hour=money(labour, shop.currency))
    if shop.labour_hour and shop.labour_hour.e4 < 0:
        raise BadInput(f"{labour!r} is not what an hour costs", "Give a number of zero or more")
    given = {
        n
        for n in context.params
        if str(getattr(context.get_parameter_source(n), "name", "")) == "COMMANDLINE"
    }
    with edge(context).store() as store:
        before = store.shop()
        shop = shop if before is None else changed_shop(before, shop, given)
        store.put(shop)
    show([f"{shop.name}: set. See it with `partsdb shop show`."], shop, False)


def shop_show(context: typer.Context, as_json: Json = False) -> None:
    """Show what is set."""
    from partsdb.outputs.lists import shop_lines

    with edge(context).store() as store:
        shop = store.shop()
    show(shop_lines(shop, width()), shop, as_json)


def machine_add(
    context: typer.Context,
    name: str,
    year: Annotated[int | None, typer.Option(help="Year it was built.")] = None,
    country: Annotated[str, typer.Option(help="Country it was built for.")] = "",
    plate: Annotated[str, typer.Option(help='Supply on its own plate: "440 V 60 Hz".')] = "",
    notes: Annotated[str, typer.Option(help="Anything worth knowing.")] = "",
) -> None:
    """Add a machine."""
    from partsdb.reading.measuring import supply_on_plate
    from partsdb.records import Machine
    from partsdb.services.entering import name_from, year_from

    volts, hertz = supply_on_plate(plate)
    name = name_from(name, "a machine")
    machine = Machine(str(uuid4()), name, year_from(year), country, volts, hertz, notes)
    with edge(context).store() as store:
        if any(m.name.casefold() == name.casefold() for m in store.all(Machine)):
            raise BadInput(f"there is already a machine called {name!r}", "Choose another name")
        store.put(machine)
    show([f"{name}: added."], machine, False)


def machine_list(context: typer.Context, as_json: Json = False) -> None:
    """List the machines."""
    from partsdb.outputs.lists import machine_lines
    from partsdb.records import Machine

    with edge(context).store() as store:
        machines = store.all(Machine)
    show(machine_lines(machines, width()), machines, as_json)


def position_add(
    context: typer.Context,
    machine: str,
    name: str,
    kind: KindOption = "",
    duty: DutyTerms = [],
    safety: Annotated[bool, typer.Option("--safety", help="It protects people: no stand-ins here.")] = False,
) -> None:
    """Add a place for a part, with what the place asks of it."""
    from partsdb.family import family_named
    from partsdb.reading.measuring import duty_from
    from partsdb.records import Machine, Position
    from partsdb.services.entering import name_from

    name = name_from(name, "a place")
    if not kind:
        raise BadInput("say what kind of part sits there", "--kind; see `partsdb words`")
    family = family_named(kind).name
    with edge(context).store() as store:
        asks = duty_from(duty, store.units)
        home = store.find(Machine, machine)
        if any(p.name.casefold() == name.casefold() for p in store.where(Position, machine_id=home.id)):
            raise BadInput(f"{home.name} already has a place called {name!r}", "Choose another name")
        place = Position(str(uuid4()), home.id, name, family, duty=asks, safety_function=safety)
        store.put(place)
    show([f"{name}: added."], place, False)


def position_list(context: typer.Context, machine: str, as_json: Json = False) -> None:
    """List a machine's positions with their duty."""
    from partsdb.outputs.lists import position_lines
    from partsdb.records import Machine, Position

    with edge(context).store() as store:
        one = store.find(Machine, machine)
        places, units = store.where(Position, machine_id=one.id), store.units
    show(position_lines(one, places, width(), units), places, as_json)


def shelf_add(
    context: typer.Context,
    printed: Annotated[list[str], typer.Argument(help="What is printed on it.", show_default=False)] = [],
    kind: KindOption = "",
    sets: Sets = [],
    quantity: Annotated[int, typer.Option(help="How many.", min=0)] = 1,
    condition: Annotated[str, typer.Option(help="new / used and tested / unknown / suspect")] = "unknown",
    place: Annotated[str, typer.Option(help="Where it lies.")] = "",
    designation: Annotated[str, typer.Option(help="Its part number.")] = "",
    maker: Annotated[str, typer.Option(help="Its maker.")] = "",
) -> None:
    """Add a part to the shelf, from what is printed on it."""
    from partsdb.family import families
    from partsdb.outputs.lists import odd_lines, part_lines
    from partsdb.services.entering import odd_in, part_from_text

    with edge(context).store() as store:
        part = part_from_text(
            printed,
            kind=kind,
            settings=sets,
            quantity=quantity,
            condition=condition,
            place=place,
            designation=designation,
            maker=maker,
            units=store.units,
        )
        store.put(part)
        every = families(store.units)
    why = odd_lines(odd_in(printed, kind), width())
    show(["Added:", *part_lines([part], every, width()), *why], part, False)


def shelf_list(context: typer.Context, kind: KindOption = "", as_json: Json = False) -> None:
    """List what lies on the shelf."""
    from partsdb.family import families, family_named
    from partsdb.outputs.lists import part_lines
    from partsdb.records import Part

    name = family_named(kind).name if kind else ""
    with edge(context).store() as store:
        parts = [p for p in store.all(Part) if p.quantity > 0 and name in ("", p.family)]
        every = families(store.units)
    show(part_lines(parts, every, width()), parts, as_json)


def shelf_tested(
    context: typer.Context,
    part: str,
    condition: Annotated[
        str, typer.Option(help="new / used and tested / unknown / suspect")
    ] = "used and tested",
) -> None:
    """Record that a shelf part was tested; prints the pass test with its figures."""
    from partsdb.outputs.words import bullets
    from partsdb.services.entering import tested
    from partsdb.services.loading import part_named

    at = edge(context)
    with at.store() as store:
        done, test = tested(part_named(store, part), condition, at.now)
        store.put(done)
    show([f"{done.title}: {done.condition}. It passes when:", *bullets(test, width())], done, False)


def suppliers(context: typer.Context, as_json: Json = False) -> None:
    """List the suppliers, their services and cut-offs."""
    from partsdb.outputs.lists import supplier_lines
    from partsdb.records import Supplier

    with edge(context).store() as store:
        found = store.all(Supplier)
    show(supplier_lines(found, width()), found, as_json)
