"""Heat: what the engine and everything bolted to it put into the cooling pack.

    road          tractive_force, brake_power, road_load, gravity_power, stop_go_power, converter_power
    engine        fuel_power, coolant_heat, friction_mep, mean_pressure, engine_flags, FUELS
    measured      fuel_power_from_rate, brake_thermal_efficiency, efficiency_from_specific_fuel,
                  measured_coolant_share
    accessories   alternator_power, gearbox_heat, condenser_heat, charge_air_rise, charge_air_heat,
                  supercharger_power, engine_air_flow, engine_mass_guess, heat_store
    coolers       hot_fluid_in, tank_cooler, in_line, charge_after_cooler, charge_loop_rise

Every number may be a float or an array of draws.
"""
