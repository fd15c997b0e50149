/** What is said when a heater or a cover is put on or taken off. */
export const heat = {
  titleOn: { heater: 'Is a heater on?', cover: 'Is a cover on?' },
  titleOff: { heater: 'Is the heater off?', cover: 'Is the cover off?' },
  lead: 'What lies ahead is worked out with it from then on. How warm it makes the joint is learned from the readings.',
  hold: 'Thermostat set to (optional)',
  holdHint: 'Leave it empty where it has none.',
  at: 'Since',
  confirmOn: { heater: 'Yes, heater is on', cover: 'Yes, cover is on' },
  confirmOff: { heater: 'Yes, heater is off', cover: 'Yes, cover is off' },
  recorded: (what: string, where: string) => `${what.toLowerCase()} on ${where}`,
  cautionsTitle: 'Before any heat near a sump',
  cautions: [
    'Near a fuelled tank or in a classified area nothing electrical or hot goes in before a qualified person says so.',
    'Unvented gas heaters add water and carbon dioxide to the air, and are an ignition source.',
    'Solvent and resin vapours burn. Keep every flame and spark away from them.',
    'Local codes and the maker’s sheet win.',
  ],
};
