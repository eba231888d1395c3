// A bot on discord.js, which does what it is told on standard input and says on
// standard output what it hears, a line of JSON each.
import { createInterface } from "node:readline";
import { createRequire } from "node:module";

const require = createRequire(process.env.MODULES + "/");
const { Client, GatewayIntentBits, Partials } = require("discord.js");

const say = (what) => console.log(JSON.stringify(what));

const client = new Client({
  intents: [
    GatewayIntentBits.Guilds, GatewayIntentBits.GuildMessages, GatewayIntentBits.GuildMessageReactions,
    GatewayIntentBits.DirectMessages, GatewayIntentBits.MessageContent,
  ],
  partials: [Partials.Channel, Partials.Message, Partials.Reaction],
  rest: { api: process.env.API, version: "10", retries: 0 },
});

client.on("clientReady", () => say({ what: "ready", user: client.user.id, guilds: client.guilds.cache.size }));
client.on("shardResume", () => say({ what: "resumed" }));
client.on("error", (e) => say({ what: "error", text: String(e) }));
client.on("messageCreate", (m) => say({ what: "message", id: m.id, text: m.content, author: m.author.id, dm: m.guildId === null }));
client.on("messageUpdate", (_, m) => say({ what: "edit", id: m.id, text: m.content }));
client.on("messageDelete", (m) => say({ what: "deletion", id: m.id }));
client.on("messageReactionAdd", (r, u) => say({ what: "reaction", id: r.message.id, emoji: r.emoji.name, author: u.id }));
client.on("interactionCreate", async (i) => {
  if (i.isButton()) {
    await i.deferUpdate();
    say({ what: "press", id: i.message.id, text: i.customId, author: i.user.id });
  } else if (i.isChatInputCommand()) {
    await i.reply({ content: "taken", flags: 64 });
    say({ what: "slash", text: i.commandName + " " + i.options.getString("name"), author: i.user.id });
  } else if (i.isAutocomplete()) {
    await i.respond([{ name: "Wim", value: "Wim" }]);
    say({ what: "typing", text: i.options.getFocused() });
  }
});

const acts = {
  async post({ channel, text, nonce, buttons }) {
    const to = await client.channels.fetch(channel);
    const components = buttons
      ? [{ type: 1, components: buttons.map((b) => ({ type: 2, style: 2, label: b, custom_id: b })) }]
      : [];
    const m = await to.send({ content: text, nonce, enforceNonce: true, components, allowedMentions: { parse: [] } });
    say({ what: "posted", id: m.id });
  },
  async card({ channel, text }) {
    const to = await client.channels.fetch(channel);
    const m = await to.send({
      embeds: [{ title: text, fields: [{ name: "1", value: text }] }],
      files: [{ attachment: Buffer.from("image"), name: "chart.png", description: "what it shows" }],
    });
    say({ what: "posted", id: m.id, files: m.attachments.size, embeds: m.embeds.length });
  },
  async private({ user, text }) {
    const m = await (await client.users.createDM(user)).send(text);
    say({ what: "posted", id: m.id });
  },
  async history({ channel }) {
    const all = await (await client.channels.fetch(channel)).messages.fetch({ limit: 100 });
    say({ what: "history", text: [...all.values()].reverse().map((m) => m.content).join("|") });
  },
  async quit() {
    await client.destroy();
    process.exit(0);
  },
};

createInterface({ input: process.stdin }).on("line", async (line) => {
  const act = JSON.parse(line);
  try {
    await acts[act.do](act);
  } catch (e) {
    say({ what: "error", text: String(e), code: e.code });
  }
});

client.login(process.env.TOKEN).catch((e) => {
  say({ what: "error", text: String(e) });
  process.exit(1);
});
