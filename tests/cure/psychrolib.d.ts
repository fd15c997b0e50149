declare module 'psychrolib' {
  /** The few functions that the tests use. Temperatures in °C and pressures in Pa once the unit system is SI. */
  const psychrolib: {
    readonly SI: unknown;
    SetUnitSystem(system: unknown): void;
    /** `humidity` is a share of 1. */
    GetTDewPointFromRelHum(celsius: number, humidity: number): number;
    GetSatVapPres(celsius: number): number;
  };
  export default psychrolib;
}
