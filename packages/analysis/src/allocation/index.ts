export { type AllocatedOrder, allocateOrders, type OrderAllocation } from "./allocate-orders";
export { latinSquare } from "./latin-square";
export { type OrderBalance, orderBalance } from "./order-balance";
export { type BlockAssignment, type BlockRandomisation, randomiseInBlocks } from "./randomise-in-blocks";
export { williamsDesign } from "./williams-design";
