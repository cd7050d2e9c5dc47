import { getCore } from "@/server/core";

async function handle(request: Request): Promise<Response> {
  const { auth } = await getCore();
  return auth.handler(request);
}

export { handle as GET, handle as POST };
