package validate

// What cells, packs and rated outputs say of each other.
var batteryRules = []*Rule{
	ruleChargeEnergy,
	ruleCellSum,
	ruleCellCount,
	ruleSeriesVoltage,
	ruleRatedEnergy,
	ruleChemistryVoltage,
	ruleCellSpecificEnergy,
	ruleCellCharge,
	ruleCellMass,
	ruleAirTravel,
	ruleChargeTime,
	ruleCellRate,
}

// What size and mass say.
var bodyRules = []*Rule{
	ruleBodySize,
	ruleBodyVolume,
	ruleBodyDensity,
	rulePowerDensity,
	ruleCellsFit,
	ruleCellsMass,
	ruleBankDensity,
}

// What the parts of a teardown may be.
var componentRules = []*Rule{
	rulePartWindow,
	rulePreferredNumber,
	ruleRatedVoltage,
	ruleFuseList,
	ruleCrystal,
	rulePackage,
	ruleBridgeVoltage,
	ruleBulkVoltage,
	ruleBulkBehindStage,
	rulePrimarySwitchVoltage,
	ruleLineCapacitorVoltage,
	ruleYCapacitorVoltage,
	ruleFuseVoltage,
	ruleVaristorVoltage,
	ruleRectifierVoltage,
	ruleOutputCapacitorVoltage,
	rulePortSwitchVoltage,
	ruleOnResistance,
	ruleConductionLoss,
	ruleBulkCapacitance,
	ruleYCapacitance,
	ruleSwitchingFrequency,
	ruleResonance,
	ruleParallelSum,
}

// What instruments can have read.
var measurementRules = []*Rule{
	ruleEfficiencyBound,
	ruleEfficiencyWindow,
	ruleEfficiencyFloor,
	ruleHeatBalance,
	ruleEnergyOut,
	ruleEnergyEfficiency,
	ruleMeasuredLoad,
	ruleRipple,
	ruleNoLoadPower,
	ruleTripCurrent,
	ruleTemperatureWindow,
	ruleTemperatureAmbient,
	ruleTouchTemperature,
}
